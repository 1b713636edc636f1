"""Dimensions, leaders and balloons. Sizes in px on the paper; only the distance comes from the ground."""

from __future__ import annotations

import math

from .frame import Frame, Point
from .letters import NOTE, OVERPASS, ROUTED, TEXT, feet_and_inches, text_width
from .shapes import Lettering, Pair, Pen, Round, Shape, Stroke

ARROW, GAP, OVER = 9.0, 4.0, 5.0
THIN = Pen("thin")
SOLID = Pen("", fill="ink")


def arrowhead(tip: Pair, toward: float, length: float = ARROW) -> Stroke:
    """A slim filled head at ``tip`` pointing in direction ``toward`` (radians in paper space, y down)."""
    back = tip[0] - length * math.cos(toward), tip[1] - length * math.sin(toward)
    side = -math.sin(toward) * length / 5, math.cos(toward) * length / 5
    return Stroke(
        (tip, (back[0] + side[0], back[1] + side[1]), (back[0] - side[0], back[1] - side[1])),
        SOLID,
        closed=True,
    )


def measured_feet(a: Point, b: Point, along: str) -> float:
    """What the dimension says."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    try:
        return {"horizontal": abs(dx), "vertical": abs(dy), "aligned": math.hypot(dx, dy)}[along]
    except KeyError:
        raise ValueError(f"a dimension runs horizontal, vertical or aligned, not {along}") from None


def dimension(
    frame: Frame,
    a: Point,
    b: Point,
    off: float,
    along: str,
    text: str | None,
    size: float,
    share: float = 0.5,
) -> list[Shape]:
    feet = measured_feet(a, b, along)
    pa, pb = frame.px(a), frame.px(b)
    la, lb = _line_ends(pa, pb, off, along)
    length = math.dist(la, lb)
    if length == 0:
        raise ValueError("a dimension needs two different points")
    way = math.atan2(lb[1] - la[1], lb[0] - la[0])
    shapes: list[Shape] = [_extension(pa, la), _extension(pb, lb)]
    if length >= 3 * ARROW:
        shapes += [Stroke((la, lb), THIN), arrowhead(la, way + math.pi), arrowhead(lb, way)]
    else:
        # too short for heads inside: they stand outside and point at each other
        tail = 2 * ARROW
        step = math.cos(way) * tail, math.sin(way) * tail
        shapes += [
            Stroke(((la[0] - step[0], la[1] - step[1]), (lb[0] + step[0], lb[1] + step[1])), THIN),
            arrowhead(la, way),
            arrowhead(lb, way + math.pi),
        ]
    return [*shapes, _dimension_text(la, lb, way, length, text or feet_and_inches(feet), size, share)]


def dimension_fits(feet: float, px_per_ft: float, size: float = TEXT) -> bool:
    """Whether its words stand between its own arrowheads; else they stand past the second point."""
    return text_width(feet_and_inches(feet), size, ROUTED) + 2 * ARROW <= feet * px_per_ft


def _line_ends(pa: Pair, pb: Pair, off: float, along: str) -> tuple[Pair, Pair]:
    if along == "horizontal":
        y = (min(pa[1], pb[1]) if off >= 0 else max(pa[1], pb[1])) - off
        return (pa[0], y), (pb[0], y)
    if along == "vertical":
        x = (max(pa[0], pb[0]) if off >= 0 else min(pa[0], pb[0])) + off
        return (x, pa[1]), (x, pb[1])
    way = math.atan2(pb[1] - pa[1], pb[0] - pa[0])
    shift = math.sin(way) * off, -math.cos(way) * off
    return (pa[0] + shift[0], pa[1] + shift[1]), (pb[0] + shift[0], pb[1] + shift[1])


def _extension(point: Pair, end: Pair) -> Stroke:
    """From a small gap off the object to a little past the dimension line."""
    reach = math.dist(point, end)
    if reach <= GAP:
        return Stroke((point, end), THIN)
    ux, uy = (end[0] - point[0]) / reach, (end[1] - point[1]) / reach
    return Stroke(
        ((point[0] + ux * GAP, point[1] + uy * GAP), (end[0] + ux * OVER, end[1] + uy * OVER)), THIN
    )


def _dimension_text(
    la: Pair, lb: Pair, way: float, length: float, text: str, size: float, share: float
) -> Lettering:
    """So far along the line, on a blank; past its end where it is too wide for it."""
    turn = -math.degrees(way)
    turn = (turn + 90) % 180 - 90
    if abs(turn + 90) < 1e-9:
        turn = 90.0  # vertical texts read from the right
    middle = (la[0] + (lb[0] - la[0]) * share, la[1] + (lb[1] - la[1]) * share)
    tilt = math.radians(turn)
    width = text_width(text, size, ROUTED)
    if width + 2 * ARROW > length:
        middle = ((la[0] + lb[0]) / 2, (la[1] + lb[1]) / 2)
        past = length / 2 + 2 * ARROW + width / 2 + 4
        middle = middle[0] + past * math.cos(tilt), middle[1] - past * math.sin(tilt)
    foot = size * 0.32
    return Lettering(
        (middle[0] + foot * math.sin(tilt), middle[1] + foot * math.cos(tilt)),
        text,
        size,
        "middle",
        turn,
        ROUTED,
        blank=True,
    )


def leader(frame: Frame, tip: Point, note_at: Point, note: str, size: float, dot: bool) -> list[Shape]:
    start, end = frame.px(note_at), frame.px(tip)
    if start == end:
        raise ValueError("a leader needs two different points")
    way = math.atan2(end[1] - start[1], end[0] - start[0])
    shapes: list[Shape] = [Stroke((start, end), THIN), _end(end, way, dot)]
    if note:
        left = end[0] > start[0]
        shapes += [
            Lettering(
                (start[0] + (-4 if left else 4), start[1] + size * 0.32 + i * size * 1.28),
                part,
                size,
                "end" if left else "start",
                blank=True,
            )
            for i, part in enumerate(note.split("\n"))
        ]
    return shapes


def _end(tip: Pair, way: float, dot: bool) -> Shape:
    return Round(tip, 1.8, SOLID) if dot else arrowhead(tip, way, 8.0)


def balloon(frame: Frame, at: Point, number: str, tip: Point | None, radius: float) -> list[Shape]:
    center = frame.px(at)
    # three figures need a wider circle rather than smaller letters
    size = TEXT - 1 if len(number) < 2 else NOTE
    wide = max(radius, text_width(number, size) / 2 + 3)
    shapes: list[Shape] = []
    if tip is not None:
        end = frame.px(tip)
        reach = math.dist(center, end)
        if not reach <= wide:  # so that an unknown reach is drawn, and refused
            edge = (
                center[0] + (end[0] - center[0]) * wide / reach,
                center[1] + (end[1] - center[1]) * wide / reach,
            )
            shapes += [Stroke((edge, end), THIN), Round(end, 1.8, SOLID)]
    return [
        *shapes,
        Round(center, wide, Pen("medium", fill="blank")),
        Lettering((center[0], center[1] + size * 0.34), number, size, "middle", family=OVERPASS),
    ]
