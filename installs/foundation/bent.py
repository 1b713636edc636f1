"""The shapes of the bars, to one scale, each with its dimension letters and lengths out to out."""

from __future__ import annotations

import math
from collections.abc import Sequence

from installs.drafting import Drawing, feet_and_inches, to_svg
from sitecalc.foundation.rebar import BarMark

WIDEST_PX = 470.0
SCALES_FT = (1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0)  # feet an inch of paper may stand for
ROW_PX = 46.0
TURNED = {"one 90 degree end": 1, "two 90 degree ends": 2, "one 180 degree end": 1, "two 180 degree ends": 2}


def shapes_svg(marks: Sequence[BarMark], *, for_print: bool = False) -> str:
    """Every different shape once, under the marks that have it; "" where there is no bar."""
    return to_svg(shapes(marks), for_print=for_print) if marks else ""


def scale_of(marks: Sequence[BarMark]) -> float:
    longest = max((_width_in(m) / 12 for m in marks), default=1.0)
    return next((feet for feet in SCALES_FT if longest * 96 / feet <= WIDEST_PX), SCALES_FT[-1])


def shapes(marks: Sequence[BarMark]) -> Drawing:
    feet = scale_of(marks)
    sheet = Drawing(f"Bar shapes, 1 in = {feet:g} ft", 96 / feet)
    down = 0.0
    for alike in _alike(marks):
        one = alike[0]
        high = _height_in(one) / 12
        row = Drawing(one.mark, 96 / feet)
        _draw(row, one)
        sheet.text((0, -down, 0, -ROW_PX * 0.36), _said(alike), size=13, bold=True, layer="note")
        down += high
        sheet.place(row, (0, -down, 70, -ROW_PX))
        down += ROW_PX * 2.1 * feet / 96
    return sheet


def _alike(marks: Sequence[BarMark]) -> list[list[BarMark]]:
    """Marks of one size and one shape together, in the order of the list."""
    found: dict[tuple[object, ...], list[BarMark]] = {}
    for mark in marks:
        lengths = tuple(round(d.length_in * 8) for d in mark.dimensions) or (round(mark.length_ft * 96),)
        found.setdefault((mark.size, mark.shape, lengths), []).append(mark)
    return list(found.values())


def _said(alike: Sequence[BarMark]) -> str:
    names = ", ".join(m.mark for m in alike)
    return f"{names}  {alike[0].size}, {alike[0].shape}"


def _lengths(mark: BarMark) -> dict[str, float]:
    """By letter, in inches; a plain bar has only B."""
    return {d.letter: d.length_in for d in mark.dimensions} or {"B": mark.length_ft * 12}


def _width_in(mark: BarMark) -> float:
    at = _lengths(mark)
    return at["B"] if mark.shape in TURNED or mark.shape == "straight" else at["A"]


def _height_in(mark: BarMark) -> float:
    at = _lengths(mark)
    if mark.shape == "closed tie":
        return at["B"]
    if mark.shape == "round tie":
        return at["A"]
    return max((value for letter, value in at.items() if letter in "ACE"), default=0.0)


def _draw(d: Drawing, mark: BarMark) -> None:
    """Origin at the lower left of the shape."""
    at = {letter: value / 12 for letter, value in _lengths(mark).items()}
    if mark.shape == "closed tie":
        _closed_tie(d, at)
    elif mark.shape == "round tie":
        d.circle((at["A"] / 2, at["A"] / 2), at["A"] / 2, weight="bar", layer="rebar")
        d.dimension((0, 0), (at["A"], 0), -24, "horizontal", text=_letter("A", at["A"]))
    else:
        _bar(d, mark, at)


def _closed_tie(d: Drawing, at: dict[str, float]) -> None:
    wide, high, end = at["A"], at["B"], at["H"]
    d.polygon([(0, 0), (wide, 0), (wide, high), (0, high)], "bar", layer="rebar")
    turned = end / math.sqrt(2)
    for start in ((0.0, high - 0.08), (0.08, high)):
        d.line(start, (start[0] + turned, start[1] - turned), "bar", layer="rebar")
    d.dimension((0, 0), (wide, 0), -24, "horizontal", text=_letter("A", wide))
    d.dimension((wide, 0), (wide, high), 26, "vertical", text=_letter("B", high))
    d.text((wide, high, 60, -8), f"H {_inches(end)} past each 135 degree bend", size=12, layer="note")


def _bar(d: Drawing, mark: BarMark, at: dict[str, float]) -> None:
    back = at["B"]
    hooks = TURNED.get(mark.shape, 0)
    letters = [letter for letter in at if letter != "B"]
    points = [(0.0, 0.0), (back, 0.0)]
    turned = "180" in mark.shape
    for letter, x, inward in list(zip(letters, (0.0, back), (1, -1), strict=False))[:hooks]:
        leg = [(x, at[letter])]
        if turned:
            leg.insert(0, (x + inward * max(at[letter], 2.5 / 12), at[letter]))
        points = [*leg, *points] if inward > 0 else [*points, *reversed(leg)]
        _leg(d, x, inward, letter, at[letter])
    d.polyline(points, "bar", layer="rebar")
    d.dimension((0, 0), (back, 0), -24, "horizontal", text=_letter("B", back))


def _leg(d: Drawing, x: float, inward: int, letter: str, feet: float) -> None:
    """A leg's length beside it, outside of the bar: a short one has no room for a dimension line."""
    if feet * d.px_per_ft > 110:
        d.dimension((x, 0), (x, feet), -22 * inward, "vertical", text=_letter(letter, feet))
        return
    anchor = "end" if inward > 0 else "start"
    d.text((x, feet / 2, -8 * inward, -4), _letter(letter, feet), size=12, anchor=anchor, layer="note")


def _letter(letter: str, feet: float) -> str:
    return f"{letter} {_inches(feet) if feet < 2 else feet_and_inches(round(feet * 48) / 48)}"


def _inches(feet: float) -> str:
    return f"{round(feet * 48) / 4:g} in"
