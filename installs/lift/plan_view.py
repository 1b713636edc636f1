"""The lift from above: outriggers on their mats, swing, hook, foundation, keep-out, nearest power line."""

from __future__ import annotations

import math

from installs.drafting import Drawing
from installs.lift.checking import LiftReview
from sitecalc.lift.hanging import outline

PAGE_PX = 1.6  # 1 in = 60 ft


def plan_view(
    review: LiftReview, px_per_ft: float = PAGE_PX, size: float = 14.0, title: str = "Plan"
) -> Drawing:
    """Crane at the origin, the load to the east of it as the crew sees it: not turned to north."""
    f = review.figures
    crane = f.row("crane")
    assert crane is not None
    radius = review.set_up.radius_ft
    d = Drawing(f"Plan of the {f.inputs['which']}", px_per_ft)
    _crane(d, review)
    base = review.figures.given.get("pad_ft") or (2 * max(outline(f.own_corners)[0][1], 2.0) + 4.0)
    d.rectangle(radius - base / 2, -base / 2, base, base, weight="medium", layer="foundation")
    d.center_mark((radius, 0), base / 2)
    d.arc((0, 0), radius, -60, 60, weight="thin", dash="tentative", layer="swing")
    lies = f.known.pick_ft is not None and f.known.length_ft is not None
    if f.is_tower and f.known.foot != "hinged" and lies:
        _lying_tower(d, review, radius, size)
    _rotor_above(d, review, radius)
    off = crane["across_ft"] / 2 * px_per_ft + 34
    said = f"radius {radius:g} ft" if radius * px_per_ft > 100 else f"{radius:g} ft"
    if review.keep_out_ft is not None:
        out = review.keep_out_ft
        d.circle((radius, 0), radius_ft=out, weight="medium", dash="limit", layer="keep out")
        d.text(
            (radius, out, 0, 6 + 1.4 * size),
            f"keep-out {math.ceil(out - 1e-9)} ft:\nnamed people only",
            size,
            "middle",
            blank=True,
        )
    # after the circle of the keep-out, for its words may stand on it
    d.dimension((0, 0), (radius, 0), -off, "horizontal", said, size)
    if title:
        foot = (
            -crane["tail_swing_ft"] - 10,
            -(40 if review.keep_out_ft is None else review.keep_out_ft),
            0,
            -34,
        )
        d.drawing_title(foot, title, line_note(review))
    return d


def keep_out_view(review: LiftReview, wide_px: float) -> Drawing:
    """Crane, load and the circle that people stay out of, so small that it carries no words."""
    f = review.figures
    crane, out = f.row("crane"), review.keep_out_ft
    assert crane is not None and out is not None
    radius = review.set_up.radius_ft
    d = Drawing("Nobody but those named inside the circle", wide_px / (2 * max(out, radius + 20.0)))
    d.rectangle(-0.74 * crane["along_ft"], -4.2, 1.69 * crane["along_ft"], 8.4, weight="thin", layer="crane")
    d.line((0, 0), (radius, 0), weight="medium", layer="boom")
    if (
        f.is_tower
        and f.known.foot != "hinged"
        and f.known.pick_ft is not None
        and f.known.length_ft is not None
    ):
        foot = radius + f.known.pick_ft
        d.line((foot, 0), (foot - f.known.length_ft, 0), weight="bar", layer="tower")
    _rotor_above(d, review, radius)
    d.circle((radius, 0), radius_px=2.5, weight="medium", fill="ink", layer="hook")
    d.circle((radius, 0), radius_ft=out, weight="medium", dash="limit", layer="keep out")
    return d


def _rotor_above(d: Drawing, review: LiftReview, radius: float) -> None:
    """Rotor toward the crane, tail away from it: a line as long as the rotor is across."""
    given = review.figures.given
    if review.figures.is_tower or not given.get("rotor_ft"):
        return
    half, at = given["rotor_ft"] / 2, radius - given["ahead_ft"]
    d.line((at, -half), (at, half), weight="medium", layer="rotor")
    d.line((at, 0), (radius + given["tail_ft"], 0), weight="thin", layer="rotor")


def _crane(d: Drawing, review: LiftReview) -> None:
    f = review.figures
    crane = f.row("crane")
    assert crane is not None
    along, across = crane["along_ft"], crane["across_ft"]
    d.rectangle(-0.74 * along, -4.2, 1.69 * along, 8.4, weight="medium", layer="crane")
    long, wide = f.known.mat_length_ft or crane["float_ft"], f.known.mat_width_ft or crane["float_ft"]
    for x in (-along / 2, along / 2):
        d.line((x, -across / 2), (x, across / 2), weight="medium", layer="crane")
        for y in (-across / 2, across / 2):
            d.rectangle(x - long / 2, y - wide / 2, long, wide, weight="medium", fill="blank", layer="mats")
            d.rectangle(x - 0.9, y - 0.9, 1.8, 1.8, weight="medium", fill="ink", layer="mats")
    d.circle((0, 0), radius_ft=crane["tail_swing_ft"], weight="thin", dash="tentative", layer="swing")
    pin, half = -crane["pin_behind_ft"], crane["boom_depth_ft"] / 2
    d.rectangle(
        pin, -half, review.set_up.radius_ft - pin, 2 * half, weight="medium", fill="blank", layer="boom"
    )
    d.circle((0, 0), radius_px=2.5, weight="medium", fill="ink", layer="crane")


def _lying_tower(d: Drawing, review: LiftReview, length_ft: float, size: float) -> None:
    """The tower before the tower raise: pick under the hook, foot away from the crane, to be walked in."""
    radius = review.set_up.radius_ft
    foot = radius + review.set_up.heights.pick_ft
    top = foot - length_ft
    line = outline(review.figures.own_corners)
    upper = [(foot - up, out) for up, out in line]
    lower = [(foot - up, -out) for up, out in reversed(line)]
    d.polygon([*upper, *lower], weight="medium", dash="tentative", layer="tower")
    d.text((foot, 0, 0, -size - 10), "base tails in", size, "end", blank=True)
    d.line((foot, 0), (radius, 0), weight="thin", dash="axis", layer="axis")
    d.circle((top, 0), radius_px=1.5, weight="thin", layer="tower")


def line_note(review: LiftReview) -> str:
    f = review.figures
    if f.known.line_ft is not None:
        kv = f.known.line_kv
        volts = f"{kv:g} kV" if kv is not None else "unknown voltage"
        return f"nearest power line {f.known.line_ft:g} ft from the crane, {volts}"
    if f.known.no_line_ft is not None:
        return f"no power line within {f.known.no_line_ft:g} ft"
    return "distance to power lines not given"
