"""Drawings of a tentative plan: tally marks of the seasons that keep a date."""

from __future__ import annotations

from installs.drafting.shapes import Pen, Shape, Stroke
from installs.drafting.svg import svg_document

FIVE, IN_ROW = 5, 10  # marks of a group, groups of a row
GROUP_PX, MARK_PX, ROW_PX, HIGH_PX = 27.0, 4.5, 25.0, 15.0
KEPT, LOST = Pen("heavy"), Pen("thin", "waiting", "pencil")


def tally_svg(kept: int, words: str) -> str:
    """A hundred marks in groups of five, the fifth across; heavy are those of ``kept`` of them. [px]"""
    shapes: list[tuple[str, Shape]] = [("tally", _mark(n, KEPT if n < kept else LOST)) for n in range(100)]
    box = (-6.0, -3.0, IN_ROW * GROUP_PX, 2 * ROW_PX - ROW_PX + HIGH_PX + 4)
    return svg_document(shapes, title=words, box=box)


def _mark(n: int, pen: Pen) -> Shape:
    group, place = divmod(n, FIVE)
    row, column = divmod(group, IN_ROW)
    x, y = column * GROUP_PX, row * ROW_PX
    if place == FIVE - 1:
        return Stroke(((x - 4, y + HIGH_PX - 3), (x + 3 * MARK_PX + 4, y + 3)), pen)
    at = x + place * MARK_PX
    return Stroke(((at, y + HIGH_PX), (at, y)), pen)
