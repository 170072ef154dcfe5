"""Holes, slots, webs and notches of a flat pattern against what a process can cut."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import Literal, NamedTuple

from solver.cutting.inside import owner
from solver.cutting.processes import Process
from solver.cutting.widths import Width, across, between, from_each, passages
from solver.families.base import FlatPattern, outline_box

Kind = Literal["hole", "web", "notch"]

Box = tuple[tuple[float, float], tuple[float, float]]

ROUND_OFF = 1e-6
"""mm; a hole as wide as the limit itself is wide enough."""
ADVICE = {
    "hole": "drill or mill it, or ask the shop",
    "web": "ask the shop whether it stands",
    "notch": "saw it, or ask the shop",
}


class CuttingFinding(NamedTuple):
    """Something in a flat pattern that a process is not known to cut; mm.

    what: which hole or web, by the number of the hole in the pattern
    at: (x, y) of its middle in the flat pattern; size: how wide it is; least: how wide it should be
    rule: how the limit comes about
    alike: numbers of all holes that are as wide as this one, where there are others
    """

    kind: Kind
    what: str
    at: tuple[float, float]
    size: float
    least: float
    rule: str
    alike: tuple[int, ...] = ()

    @property
    def sentence(self) -> str:
        """All of it for people; holes that are alike say the same."""
        if self.alike:
            return (
                f"holes {_spans(self.alike)} are {self.size:.2f} mm wide, {self.least:.2f} mm is the least "
                f"({self.rule}): drill or mill them, or ask the shop"
            )
        x, y = self.at
        return (
            f"{self.what} is {self.size:.2f} mm wide, {self.least:.2f} mm is the least ({self.rule}), at x {x:.1f} mm, "
            f"y {y:.1f} mm of the blank: {ADVICE[self.kind]}"
        )


def cutting_findings(pattern: FlatPattern, process: Process) -> tuple[CuttingFinding, ...]:
    """What is narrower than the process and the plate's thickness allow, holes first.

    Widths are exact for lines and arcs. Sharp inner corners get the radius of half the kerf, which is no finding.
    """
    t = pattern.thickness
    hole_rule = _rule(process, process.hole, t, process.hole_floor, "holes")
    web_rule = _rule(process, process.web, t, process.web_floor, "webs")
    notch_rule = f"the widest usual kerf of {process.name}"
    found = []
    narrow: dict[float, list[int]] = {}
    for kind, what, width in _widths(pattern, max(process.least_web(t), process.least_notch)):
        least, rule = {
            "hole": (process.least_hole(t), hole_rule),
            "web": (process.least_web(t), web_rule),
            "notch": (process.least_notch, notch_rule),
        }[kind]
        if width.size < least - ROUND_OFF:
            found.append(CuttingFinding(kind, what, width.at, width.size, least, rule))
            if kind == "hole":
                narrow.setdefault(round(width.size, 2), []).append(int(what.split()[-1]))
    found = [
        finding._replace(alike=tuple(numbers))
        if finding.kind == "hole" and len(numbers := narrow[round(finding.size, 2)]) > 1
        else finding
        for finding in found
    ]
    order = ("hole", "web", "notch")
    return tuple(sorted(found, key=lambda finding: order.index(finding.kind)))


def _spans(numbers: tuple[int, ...]) -> str:
    """Rising numbers, three or more in a row shortened: "1 to 4, 6 and 7"."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    texts: list[str] = []
    for run in runs:
        texts += [f"{run[0]} to {run[-1]}"] if len(run) > 2 else map(str, run)
    return " and ".join([", ".join(texts[:-1]), texts[-1]] if len(texts) > 1 else texts)


def _widths(pattern: FlatPattern, near: float) -> Iterator[tuple[Kind, str, Width]]:
    """Kind, name and least width of everything; of webs and notches at least those under ``near`` mm."""
    boxes = [outline_box(hole) for hole in pattern.inner]
    holes = dict(enumerate(pattern.inner, 1))
    owners = {number: owner(pattern.outer, (v[:2] for v in hole)) for number, hole in holes.items()}
    for number, inner in holes.items():
        yield "hole", f"hole {number}", across(inner)
        tongue = passages(inner, near).outside
        if tongue is not None:
            yield "web", f"the metal that reaches into hole {number}", tongue
    for (first, one), (second, other) in combinations(holes.items(), 2):
        if _apart(boxes[first - 1], boxes[second - 1]) <= near:
            yield "web", f"the web between holes {first} and {second}", between(one, other)
    for number, outer in enumerate(pattern.outer, 1):
        name = "the outline" if len(pattern.outer) == 1 else f"outline {number}"
        own = [hole for hole, belongs in owners.items() if belongs == number - 1]
        for hole, web in zip(
            own, from_each([holes[hole] for hole in own], outer, near) if own else (), strict=True
        ):
            yield "web", f"the web between hole {hole} and {name}", web
        neck, notch = passages(outer, near)
        if neck is not None:
            yield "web", f"the narrowest place of {name}", neck
        if notch is not None:
            yield "notch", f"the narrowest notch of {name}", notch


def _apart(one: Box, other: Box) -> float:
    """Distance of two boxes along the axis on which they are further apart, mm; what they hold is no nearer."""
    return max(max(other[0][i] - one[1][i], one[0][i] - other[1][i]) for i in (0, 1))


def _rule(process: Process, share: float, thickness: float, floor: float, what: str) -> str:
    if share * thickness < floor:
        return f"least of {what} by {process.name} in any thickness"
    return f"{share:g} × thickness for {what} by {process.name}"
