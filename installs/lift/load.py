"""The load drawn from its corners: a lattice tower, or the outline of a turbine, about a plumb hook line."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any

from installs.drafting import Drawing
from installs.drafting.frame import Frame, Point
from installs.drafting.shapes import Pen, Round, Shape, Stroke
from sitecalc.lift.hanging import out_at


def draw_tower(
    d: Drawing,
    line: Sequence[tuple[float, float]],
    splices: Sequence[float] = (),
    turn: float = 0.0,
    at: Point = (0, 0),
    *,
    tube: bool,
) -> None:
    """A lattice or a ``tube``, its foot at ``at``, ``turn`` degrees from upright (90 lies to the right)."""
    block = Drawing("tower", d.px_per_ft)
    foot, top = line[0][0], line[-1][0]
    for side in (-1, 1):
        block.polyline([(side * out, up) for up, out in line], weight="bar", layer="tower")
    for low, high in pairwise(sorted({foot, *(s for s in splices if foot < s < top), top})):
        half = out_at(line, (low + high) / 2)
        bays = 0 if tube else max(1, min(40, round((high - low) / max(2.6 * half, (top - foot) / 45))))
        levels = [low + (high - low) * i / bays for i in range(bays + 1) if bays]
        for a, b in pairwise(levels):
            oa, ob = out_at(line, a), out_at(line, b)
            block.line((-oa, a), (ob, b), weight="thin", layer="tower")
            block.line((oa, a), (-ob, b), weight="thin", layer="tower")
            block.line((-ob, b), (ob, b), weight="thin", layer="tower")
        out = out_at(line, high)
        block.line((-out, high, -2, 0), (out, high, 2, 0), weight="heavy", layer="tower")
    out = out_at(line, foot)
    block.line((-out, foot, -2, 0), (out, foot, 2, 0), weight="heavy", layer="tower")
    d.place(block, at, turn=-turn)


def draw_outline(d: Drawing, line: Sequence[tuple[float, float]], x_ft: float, foot_ft: float) -> None:
    """A turbine by the room that its corners take, mirrored about the hook line: not its shape."""
    right = [(x_ft + out, foot_ft + up) for up, out in line]
    left = [(x_ft - out, foot_ft + up) for up, out in reversed(line)]
    d.polygon([*right, *left], weight="medium", dash="tentative", fill="blank", layer="turbine")


def draw_rotor(d: Drawing, given: Mapping[str, Any], x_ft: float, foot_ft: float, highest_ft: float) -> None:
    """Rotor toward the crane from the side: its disc dashed, three blades as they are held, the tail away.

    ``highest_ft`` is the highest corner of the load: a blade over the hub with one straight up, half a blade
    with one straight down.
    """
    half, hub, at = given["rotor_ft"] / 2, foot_ft + given["hub_ft"], x_ft - given["ahead_ft"]
    one_up = highest_ft > given["hub_ft"] + 0.75 * half
    low, high = (hub - half / 2, hub + half) if one_up else (hub - half, hub + half / 2)
    d.line((at, hub - half), (at, hub + half), weight="thin", dash="tentative", layer="rotor")
    d.line((at, low), (at, high), weight="heavy", layer="rotor")
    d.line((at, hub), (x_ft, hub), weight="medium", layer="rotor")
    d.line((x_ft, hub), (x_ft + given["tail_ft"], hub), weight="medium", layer="rotor")
    d.circle((at, hub), radius_px=2.5, weight="medium", fill="blank", layer="rotor")


def draw_center_of_gravity(d: Drawing, at: Point) -> None:
    """A quartered circle."""
    d.add("gravity", lambda frame: _quartered(frame, at))


def _quartered(frame: Frame, at: Point) -> list[Shape]:
    x, y = frame.px(at)
    r = 6.0
    shapes: list[Shape] = [Round((x, y), r, Pen("medium", fill="blank"))]
    for first in (0, 180):
        arc = [
            (x + r * math.cos(math.radians(a)), y - r * math.sin(math.radians(a)))
            for a in range(first, first + 91, 10)
        ]
        shapes.append(Stroke(((x, y), *arc), Pen("thin", fill="ink"), closed=True))
    return shapes
