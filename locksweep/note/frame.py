"""Head and foot of a sheet, and what they leave of it."""

from __future__ import annotations

from locksweep.note.paint import PAGE, Painter

SIDES, TOP, FOOT = 13.0, 24.0, 15.5
"""Kept free of what stands on a sheet, mm: left and right, head, foot."""
WIDTH = PAGE[0] - 2 * SIDES
BODY = PAGE[1] - TOP - FOOT


def frame(painter: Painter, title: str, aside: str, page: str, foot: str, job: str) -> None:
    """A page's title with a remark at its right, and below the page's number, a caution, and whose sheet it is."""
    top, right = PAGE[1] - 11.0, PAGE[0] - SIDES
    said = painter.clipped(title, 0.62 * WIDTH, 5.6)
    painter.text(said, SIDES, top - 5.0, 5.6, bold=True)
    room = WIDTH - painter.measure(said, 5.6) - 6.0
    painter.text(painter.clipped(aside, room, 3.6), right, top - 5.0, 3.6, anchor="end")
    painter.rule(SIDES, top - 8.0, WIDTH, 0.6)
    painter.rule(SIDES, FOOT - 2.5, WIDTH, 0.2)
    small = 2.2
    painter.text(foot, SIDES, FOOT - 6.0, small, bold=True)
    painter.text(page, right, FOOT - 6.0, small, anchor="end")
    painter.text(painter.clipped(job, WIDTH, small), SIDES, FOOT - 9.4, small)
