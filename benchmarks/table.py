"""Lines of the table of figures and bounds."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Row:
    """One line of the table.

    figure: as shown; value, bound: what is compared, None where there is nothing to compare
    least: True when the bound is the least that is wanted, else it is the most
    """

    label: str
    figure: str
    value: float | None = None
    bound: float | None = None
    least: bool = False

    @property
    def bound_text(self) -> str:
        """The bound as shown."""
        if self.bound is None:
            return ""
        return f"{'at least' if self.least else 'at most'} {self.bound:g}"

    @property
    def verdict(self) -> str:
        """`ok`, `over`, or nothing where there is no bound."""
        if self.value is None or self.bound is None:
            return ""
        kept = self.value >= self.bound if self.least else self.value <= self.bound
        return "ok" if kept else "over"
