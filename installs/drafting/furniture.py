"""Center marks, section arrows, north arrow, scale bar, break line, titles of views, crayon."""

from __future__ import annotations

import math

from .dimensions import arrowhead
from .frame import Frame, Point
from .letters import HEAD, NOTE, ROUTED, TEXT, text_width
from .shapes import Lettering, Pair, Pen, Shape, Stroke

THIN, MEDIUM, HEAVY = Pen("thin"), Pen("medium"), Pen("heavy")


def center_mark(frame: Frame, center: Point, radius_ft: float, over: float) -> list[Shape]:
    x, y = frame.px(center)
    reach = frame.length(radius_ft) + over
    return [Stroke(((x - reach, y), (x + reach, y)), THIN), Stroke(((x, y - reach), (x, y + reach)), THIN)]


def section_arrow(frame: Frame, at: Point, letter: str, looking: float) -> list[Shape]:
    x, y = frame.px(at)
    way = math.radians(frame.direction(looking))
    ux, uy = math.cos(way), -math.sin(way)
    tip = x + 18 * ux, y + 18 * uy
    return [
        Stroke(((x - 10 * uy, y + 10 * ux), (x + 10 * uy, y - 10 * ux)), HEAVY),
        Stroke(((x, y), tip), MEDIUM),
        arrowhead(tip, math.atan2(uy, ux), 10.0),
        Lettering((x - 13 * ux, y - 13 * uy + 5), letter, TEXT, "middle", family=ROUTED),
    ]


def north_arrow(frame: Frame, at: Point, north: float, length: float) -> list[Shape]:
    x, y = frame.px(at)
    way = math.radians(frame.direction(north))
    ux, uy = math.cos(way), -math.sin(way)
    tip = x + length * ux, y + length * uy
    return [
        Stroke(((x, y), tip), MEDIUM),
        arrowhead(tip, math.atan2(uy, ux), 12.0),
        Lettering(
            (tip[0] + 10 * ux, tip[1] + 10 * uy + (4 if abs(uy) < 0.8 else 0)),
            "N",
            TEXT,
            "middle",
            family=ROUTED,
        ),
    ]


def scale_bar(frame: Frame, at: Point, step_ft: float | None, steps: int) -> list[Shape]:
    """Heavy and thin pieces in turn, figures over the ends of the steps, and the scale in words."""
    step = step_ft or _round_step(60 / frame.length(1.0))
    x, y = frame.px(at)
    width = frame.length(step)
    shapes: list[Shape] = [Stroke(((x, y), (x + steps * width, y)), THIN)]
    for i in range(steps + 1):
        left = x + i * width
        shapes.append(Stroke(((left, y + 3), (left, y - 4)), THIN))
        figure = f"{i * step:g}" + (" ft" if i == steps else "")
        shapes.append(Lettering((left, y - 8), figure, NOTE, "middle"))
        if i < steps and i % 2 == 0:
            shapes.append(Stroke(((left, y + 1), (left + width, y + 1)), Pen("over")))
    feet = 96 / frame.length(1.0)
    said = f"scale 1 in = {feet:.3g} ft" if feet >= 1 else f"scale {1 / feet:.3g} in = 1 ft"
    return [*shapes, Lettering((x + steps * width + 24, y + 4), said, NOTE)]


def _round_step(least: float) -> float:
    """The next of 1, 2, 5, 10, ... at or above ``least``."""
    tens: float = 10 ** math.floor(math.log10(least))
    return next(tens * n for n in (1, 2, 5, 10) if tens * n >= least * (1 - 1e-9))


def break_line(frame: Frame, a: Point, b: Point, weight: str) -> list[Shape]:
    """A line with one zigzag in its middle."""
    pa, pb = frame.px(a), frame.px(b)
    length = math.dist(pa, pb)
    if length == 0:
        raise ValueError("a break line needs two different points")
    ux, uy = (pb[0] - pa[0]) / length, (pb[1] - pa[1]) / length
    half, jog = length / 2, min(6.0, length / 6)

    def at(along: float, side: float) -> Pair:
        return pa[0] + ux * along - uy * side, pa[1] + uy * along + ux * side

    run = (pa, at(half - jog, 0), at(half - jog / 2, -jog), at(half + jog / 2, jog), at(half + jog, 0), pb)
    return [Stroke(run, Pen(weight))]


def drawing_title(frame: Frame, at: Point, title: str, note: str) -> list[Shape]:
    x, y = frame.px(at)
    width = text_width(title, HEAD, ROUTED)
    shapes: list[Shape] = [
        Lettering((x, y), title, HEAD, family=ROUTED),
        Stroke(((x, y + 6), (x + width, y + 6)), MEDIUM),
    ]
    if note:
        shapes.append(Lettering((x + width + 14, y), note, NOTE))
    return shapes


def _wobble(index: float) -> float:
    """A steady hand's unevenness, the same every time; between -1 and 1."""
    return math.sin(index * 12.9898) * 0.6 + math.sin(index * 4.1414) * 0.4


def crayon_loop(center: Pair, width: float, height: float) -> list[Shape]:
    """Once round and a little further, as a hand draws it."""
    count = max(24, int((width + height) / 4))
    points = []
    for i in range(count + 3):
        angle = -2.2 + math.tau * i / count
        swell = 1 + 0.012 * math.sin(angle * 3) + 0.02 * i / count
        x, y = width / 2 * swell * math.cos(angle), height / 2 * swell * math.sin(angle)
        points.append((center[0] + x, center[1] + y))
    return _waxy(points)


def crayon_line(a: Pair, b: Pair) -> list[Shape]:
    """Straight, as along a rule: a wavy one under words says that they are misspelt."""
    count = max(6, int(math.dist(a, b) / 5))
    dx, dy = b[0] - a[0], b[1] - a[1]
    return _waxy([(a[0] + dx * i / count, a[1] + dy * i / count) for i in range(count + 1)])


def _waxy(points: list[Pair]) -> list[Shape]:
    """Five strands side by side, about 4 px in all; the outer ones skip where the wax did not take."""
    shapes: list[Shape] = []
    for strand in range(-2, 3):
        run: list[Pair] = []
        for i, (x, y) in enumerate(points):
            if abs(strand) == 2 and _wobble(i * 7 + strand) > 0.25:
                shapes += _strand(run)
                run = []
                continue
            jitter = 0.3 * _wobble(i * 3 + strand * 11)
            run.append((x + 0.35 * strand + jitter, y + 0.9 * strand + jitter))
        shapes += _strand(run)
    return shapes


def _strand(run: list[Pair]) -> list[Shape]:
    return [Stroke(tuple(run), Pen("bar", ink="crayon"))] if len(run) > 1 else []
