"""Load cases as multiples of the static wheel load.

Sources: Ibrahim, "Loads on Vehicle Structures": braking 1.1 to 1.84 g, bump from ahead 4.5, both wheels'
bump 2 to 3, cornering 1 g; J. C. Brown, Motor Vehicle Structures, p. 24: kerb nudge factor 1.4. Bump, braking
and cornering as one set of 3, 1 and 1 g is from memory.
"""

from __future__ import annotations

from solver.tables import rows

CASES = {row["name"]: row for row in rows("load_cases")}


def factor(case: str, direction: str) -> float:
    """One multiple of the static load."""
    return float(CASES[case][direction])


def test_braking() -> None:
    """Braking lies in the book's range of 1.1 to 1.84."""
    assert 1.1 <= factor("braking", "rearward") <= 1.84


def test_strike_from_ahead() -> None:
    """A bump from ahead takes the book's 4.5."""
    assert 4.5 == factor("kerb strike from ahead", "rearward")
    assert 2.0 <= factor("kerb strike from ahead", "vertical") <= 3.0


def test_kerb_nudge() -> None:
    """A kerb nudge takes the factor 1.4 on the static load."""
    assert 1.4 == factor("kerb nudge at lock", "vertical")


def test_combined_set() -> None:
    """3 g bump with 1 g of braking and 1 g of cornering."""
    case = "bump with braking and cornering"
    assert [3.0, 1.0, 1.0] == [factor(case, d) for d in ("vertical", "rearward", "inward")]
