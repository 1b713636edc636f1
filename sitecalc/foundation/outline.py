"""The pad seen from above: rectangle, regular octagon, circle; its area, girth and how long a bar fits."""

from __future__ import annotations

import math

from sitecalc.foundation.words import Outline

FLAT = math.tan(math.pi / 8)  # half a side of a regular octagon to half its width across flats


def area_ft2(outline: Outline, side_ft: float, across_ft: float) -> float:
    """Area in ft2 of an outline with sides in ft.

    A rectangle a b, an octagon 2 tan(22.5) s^2 with s across flats, a circle pi/4 d^2. Plane geometry.
    """
    if outline == "octagon":
        return 2 * FLAT * side_ft**2
    if outline == "circle":
        return math.pi / 4 * side_ft**2
    return side_ft * across_ft


def girth_ft(outline: Outline, side_ft: float, across_ft: float) -> float:
    """Length in ft of form round a pad with sides in ft: 2 (a + b), 8 tan(22.5) s, pi d. Plane geometry."""
    if outline == "octagon":
        return 8 * FLAT * side_ft
    if outline == "circle":
        return math.pi * side_ft
    return 2 * (side_ft + across_ft)


def chord(outline: Outline, width: float, along: float, off: float) -> float:
    """Length across the outline at ``off`` from its middle line, in the unit of the arguments; 0 outside.

    width, along
        of the outline, square to the chord and with it; the same but for a rectangle.

    Rectangle ``along``, octagon at most along (1 + tan 22.5) - 2 off, circle 2 sqrt((width / 2)^2 - off^2).
    Plane geometry.
    """
    aside = abs(off)
    if aside > width / 2 + 1e-9:
        return 0.0
    if outline == "octagon":
        return min(along, along * (1 + FLAT) - 2 * aside)
    if outline == "circle":
        return 2 * math.sqrt(max(0.0, (width / 2) ** 2 - aside**2))
    return along
