"""The crane and what hangs on it from the side: center of rotation x = 0, grade y = 0, load at +radius."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from installs.drafting import Drawing
from installs.drafting.frame import Frame, Point
from installs.drafting.shapes import Pen, Round, Shape, Stroke

SCALES = (2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0)  # ft an inch of paper may stand for
VIEW_PX = 330.0


def crane_view(crane: Mapping[str, Any]) -> Drawing:
    """The crane as its dimensions say it, on its outriggers, the boom cut off."""
    along, tail, pin = crane["along_ft"], crane["tail_swing_ft"], crane["pin_height_ft"]
    wide = max(tail, 0.74 * along) + 0.95 * along
    per_inch = next((feet for feet in SCALES if wide * 96 / feet <= VIEW_PX), SCALES[-1])
    d = Drawing(
        "The crane on its outriggers", 96 / per_inch,
        f"Boom pin {pin:g} ft above grade and {crane['pin_behind_ft']:g} ft behind the center of rotation, "
        f"tail swing {tail:g} ft, outrigger pads {along:g} ft apart front to rear, "
        f"{crane['across_ft']:g} ft side to side.",
    )  # fmt: skip
    left, right = -max(tail, 0.74 * along), 0.95 * along
    d.line((left, 0, -34, 0), (right, 0, 34, 0), weight="bar", layer="grade")
    draw_crane(d, crane)
    draw_mats(d, crane, None, None)
    _boom_cut(d, crane, right)
    d.line((0, 0, 0, -68), (0, pin + 10), weight="thin", dash="axis", layer="axis")
    d.dimension((-along / 2, 0, 0, -8), (along / 2, 0, 0, -8), -26, "horizontal", share=0.78)
    d.dimension((-tail, 0, 0, -8), (0, 0, 0, -8), -56, "horizontal", f"tail swing {tail:g} ft")
    d.dimension((right, 0), (right, pin), 20, "vertical", f"pin {pin:g} ft")
    d.scale_bar((left, 0, -20, -104), 10 if per_inch > 6 else 5, 2)
    return d


def _boom_cut(d: Drawing, crane: Mapping[str, Any], right_ft: float) -> None:
    """To its true depth at 45 degrees, with a break where it goes on."""
    pin = (-crane["pin_behind_ft"], crane["pin_height_ft"])
    length = max(1.1 * right_ft, 12.0)
    half, part = crane["boom_depth_ft"] / 2, math.sqrt(0.5)

    def at(along: float, off: float) -> tuple[float, float]:
        return pin[0] + part * (along - off), pin[1] + part * (along + off)

    d.line((2.5, crane["pin_height_ft"] * 0.72), at(0.4 * length, -half), weight="heavy", layer="crane")
    d.polygon(
        [at(0, half), at(length, half), at(length, -half), at(0, -half)], "", fill="blank", layer="boom"
    )
    d.polyline([at(length, half), at(0, half), at(0, -half), at(length, -half)], "medium", layer="boom")
    d.break_line(at(length, 2.2 * half), at(length, -2.2 * half))
    d.circle(pin, radius_ft=0.5, weight="medium", fill="blank", layer="crane")


def draw_crane(d: Drawing, crane: Mapping[str, Any]) -> None:
    """Carrier, upper and counterweight; lengths from the outriggers, heights from the boom pin."""
    along, pin = crane["along_ft"], crane["pin_height_ft"]
    k = pin / 9.0  # a carrier drawn for a pin 9 ft up grows with it
    rear, front = -0.74 * along, 0.95 * along
    deck = 5.0 * k
    d.polygon(
        [(rear, 2.6 * k), (front - 7 * k, 2.6 * k), (front - 7 * k, deck), (rear, deck)],
        weight="medium",
        fill="blank",
        layer="crane",
    )
    cab = front - 7 * k
    d.polygon(
        [(cab, 2.2 * k), (front, 2.2 * k), (front, 4.6 * k), (front - k, 7.4 * k), (cab, 7.4 * k)],
        weight="medium",
        fill="blank",
        layer="crane",
    )
    for x in (rear + 2.6 * k, rear + 6.6 * k, front - 10.5 * k, front - 3.4 * k):
        d.circle((x, 1.7 * k), radius_ft=1.7 * k, weight="medium", fill="blank", layer="crane")
        d.circle((x, 1.7 * k), radius_ft=0.6 * k, weight="thin", layer="crane")
    tail = crane["tail_swing_ft"]
    d.polygon(
        [(-tail, 5.8 * k), (2.5 * k, 5.8 * k), (2.5 * k, 6.8 * k), (-2 * k, 9.2 * k), (-tail, 9.2 * k)],
        weight="medium",
        fill="blank",
        layer="crane",
    )
    d.rectangle(-tail, 5.8 * k, min(4.0 * k, tail / 2), 3.4 * k, weight="medium", fill="ink", layer="crane")
    d.rectangle(-2.6 * k, deck, 5.2 * k, 0.8 * k, weight="medium", fill="blank", layer="crane")


def draw_mats(d: Drawing, crane: Mapping[str, Any], length_ft: float | None, thick_in: float | None) -> None:
    """Two of the four outriggers with their mats, in front of the wheels."""
    half, k = crane["along_ft"] / 2, crane["pin_height_ft"] / 9.0
    thick = (6.0 if thick_in is None else thick_in) / 12
    mat = crane["float_ft"] if length_ft is None else length_ft
    for x in (-half, half):
        d.rectangle(x - mat / 2, 0, mat, thick, weight="thin", fill="ink", layer="mats")
        d.line((x, thick), (x, 3.4 * k), weight="bar", layer="crane")
        reach = min(crane["float_ft"], mat) / 2
        d.line((x - reach, thick + 0.25), (x + reach, thick + 0.25), weight="bar", layer="crane")


def draw_boom(d: Drawing, crane: Mapping[str, Any], radius_ft: float, tip_ft: float) -> None:
    """Boom to its true depth, with telescope joints, lift cylinder and head sheave."""
    pin = (-crane["pin_behind_ft"], crane["pin_height_ft"])
    tip = (radius_ft, tip_ft)
    length = math.dist(pin, tip)
    along = ((tip[0] - pin[0]) / length, (tip[1] - pin[1]) / length)
    side = (-along[1], along[0])
    half = crane["boom_depth_ft"] / 2

    def at(part: float, off: float) -> tuple[float, float]:
        return (
            pin[0] + along[0] * part * length + side[0] * off,
            pin[1] + along[1] * part * length + side[1] * off,
        )

    cylinder = (2.5, crane["pin_height_ft"] * 0.72)
    d.line(cylinder, at(0.22, -half), weight="heavy", layer="crane")
    d.polygon(
        [at(-0.01, half), at(1, half), at(1, -half), at(-0.01, -half)],
        weight="medium",
        fill="blank",
        layer="boom",
    )
    for part in (0.28, 0.52, 0.76):
        d.line(at(part, half + 0.25), at(part, -half - 0.25), weight="bar", layer="boom")
        d.line(at(part + 0.008, half), at(part + 0.008, -half), weight="thin", layer="boom")
    d.circle(pin, radius_ft=0.5, weight="medium", fill="blank", layer="crane")
    d.circle(tip, radius_px=3.5, weight="medium", fill="blank", layer="boom")


def draw_hook(d: Drawing, radius_ft: float, tip_ft: float, hook_ft: float, block_ft: float) -> None:
    """Two falls of rope, block and hook; ``hook_ft`` is the hook's saddle."""
    top = hook_ft + block_ft
    for off in (-1.5, 1.5):
        d.line((radius_ft, tip_ft, off, 0), (radius_ft, top, off, 0), weight="thin", layer="rope")
    d.add("hook", lambda frame: _block_and_hook(frame, (radius_ft, top), (radius_ft, hook_ft)))


def _block_and_hook(frame: Frame, top: Point, saddle: Point) -> list[Shape]:
    """Block from its top down, hook under it; at least as large as can be told on paper."""
    x, y0 = frame.px(top)
    _, y1 = frame.px(saddle)
    high = max(y1 - y0, 16.0)
    y0 = y1 - high
    block = y0 + high * 0.55
    wide = max(5.0, high * 0.26)
    corners = ((x - wide, y0), (x + wide, y0), (x + 0.7 * wide, block), (x - 0.7 * wide, block))
    r = max(3.0, (y1 - block) * 0.42)
    return [
        Stroke(corners, Pen("medium", fill="ink"), closed=True),
        Stroke(((x, block), (x, y1 - 2 * r)), Pen("bar")),
        Round((x, y1 - r), r, Pen("bar"), start=-170.0, end=90.0),
    ]


def draw_slings(
    d: Drawing, x_ft: float, hook_ft: float, pick_ft: float, near_ft: float, far_ft: float
) -> None:
    for out in (-near_ft, far_ft):
        d.line((x_ft, hook_ft), (x_ft + out, pick_ft), weight="medium", layer="slings")
