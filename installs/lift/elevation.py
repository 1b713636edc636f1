"""The lift from the side, true to scale: crane, boom, load at its highest, and the heights that count."""

from __future__ import annotations

import math

from installs.drafting import Drawing
from installs.drafting.dimensions import arrowhead
from installs.drafting.frame import Frame
from installs.drafting.furniture import scale_bar
from installs.drafting.shapes import Pen, Shape, Stroke
from installs.equipment.crane_drawing import draw_boom, draw_crane, draw_hook, draw_mats, draw_slings
from installs.lift.cases import Figures
from installs.lift.checking import LiftReview
from installs.lift.load import draw_center_of_gravity, draw_outline, draw_rotor, draw_tower
from sitecalc.checks import readable
from sitecalc.figures import by_balloon
from sitecalc.lift.crane import CraneGeometry
from sitecalc.lift.figures import LiftFigures
from sitecalc.lift.hanging import outline

PAGE_PX = 4.8  # 1 in = 20 ft
CARD_PX = (3.0, 2.0, 1.5, 1.0)  # 1/32, 1/48, 1/64, 1/96 in = 1 ft
# notes stand this far left of the crane's center, heights right of the hook, radius and scale bar below grade
LEFT_PX, RIGHT_PX, BELOW_PX = -105.0, 200.0, 54.0
CRANE_BALLOON_FT = 14.0


def card_scale(review: LiftReview, wide_px: float, high_px: float) -> float:
    """The largest drawing scale with which the elevation stands in this width and height."""
    assert review.geometry is not None
    tip, radius = review.geometry.tip_ft, review.set_up.radius_ft
    fits = (
        px for px in CARD_PX if px * tip + BELOW_PX <= high_px and px * radius - LEFT_PX + RIGHT_PX <= wide_px
    )
    return next(fits, CARD_PX[-1])


def elevation(
    review: LiftReview, px_per_ft: float = PAGE_PX, *, size: float = 14.0, on_card: bool = False
) -> Drawing:
    """The elevation; needs ``review.geometry``."""
    f, geometry = review.figures, review.geometry
    crane = f.row("crane")
    assert geometry is not None and crane is not None
    d = Drawing(f"Elevation of the {f.inputs['which']}", px_per_ft, _told(review, geometry))
    heights = review.set_up.heights
    radius, foot = review.set_up.radius_ft, heights.load_foot_ft
    _ground(d, review, radius)
    draw_crane(d, crane)
    draw_mats(d, crane, f.known.mat_length_ft, f.known.mat_thick_in)
    draw_boom(d, crane, radius, geometry.tip_ft)
    _load(d, review, radius, foot)
    draw_slings(
        d, radius, geometry.hook_ft, foot + heights.pick_ft, f.known.near_ft or 0.0, f.known.far_ft or 0.0
    )
    draw_hook(d, radius, geometry.tip_ft, geometry.hook_ft, crane["block_height_ft"])
    _heights(d, review, geometry, radius, foot, size, on_card)
    _notes(d, review, geometry, radius, foot, size)
    _clearance(d, review, geometry, radius, size)
    if not on_card:
        _balloons(d, review, geometry, radius, foot)
    return d


def _told(review: LiftReview, geometry: CraneGeometry) -> str:
    f = review.figures
    return (
        f"Boom {f.known.boom_ft:g} ft at {geometry.angle_deg:.1f} degrees, "
        f"radius {f.known.radius_ft:g} ft, "
        f"tip {geometry.tip_ft:.1f} ft, hook {geometry.hook_ft:.1f} ft, "
        f"boom to load {geometry.closest.clear_ft:.1f} ft."
    )


def _ground(d: Drawing, review: LiftReview, radius: float) -> None:
    """Grade line, earth, and the foundation under the load (its depth is not drawn to scale)."""
    d.line((0, 0, LEFT_PX, 0), (radius, 0, RIGHT_PX, 0), weight="bar", layer="grade")
    band = [(0, 0, LEFT_PX, -2), (radius, 0, RIGHT_PX, -2), (radius, 0, RIGHT_PX, -14), (0, 0, LEFT_PX, -14)]
    line = outline(review.figures.own_corners)
    base = review.figures.given.get("pad_ft") or (2 * max(line[0][1], 2.0) + 4.0)
    top = min(review.set_up.heights.foot_ft, 2.0) if review.figures.is_tower else 0.6
    pad = [
        (radius - base / 2, top),
        (radius + base / 2, top),
        (radius + base / 2, -3.2),
        (radius - base / 2, -3.2),
    ]
    d.hatch("earth", band, holes=[pad])
    d.polygon(pad, weight="medium", fill="blank", layer="foundation")
    d.hatch("concrete", pad)


def _load(d: Drawing, review: LiftReview, radius: float, foot: float) -> None:
    f = review.figures
    line = outline(f.own_corners)
    if f.is_tower:
        splices, up = [], 0.0
        for section in f.sections:
            up += section.length_ft
            splices.append(up)
        draw_tower(d, line, splices, at=(radius, foot), tube=f.on_tube)
    else:
        stands = [(c.up_ft, c.out_ft) for c in f.corners if c.up_ft < 0]
        if len(stands) > 1:
            over = f.known.over_ft
            draw_tower(d, sorted((up, out) for up, out in stands), at=(radius, foot), tube=f.on_tube)
            d.line((radius, foot - over, -6, 0), (radius, foot - over, 6, 0), weight="heavy", layer="tower")
        draw_outline(d, [(up, out) for up, out in line if not _is_blade(f, up)], radius, foot)
        if f.given.get("rotor_ft"):
            draw_rotor(d, f.given, radius, foot, max(up for up, _ in line))
    if f.known.center_ft is not None:
        draw_center_of_gravity(d, (radius, foot + f.known.center_ft))


def _is_blade(f: Figures, up_ft: float) -> bool:
    """What stands over the body is drawn as the rotor where its size is known."""
    top = f.known.length_ft
    return bool(f.given.get("rotor_ft")) and top is not None and up_ft > top


def _heights(
    d: Drawing,
    review: LiftReview,
    geometry: CraneGeometry,
    radius: float,
    foot: float,
    size: float,
    on_card: bool,
) -> None:
    """Top of the load, hook and boom tip above grade, side by side on the right; radius underneath."""
    f = review.figures
    length = f.known.length_ft
    what = "tower" if f.is_tower else "turbine"
    marks = [("hook", geometry.hook_ft, 164.0), ("boom tip", geometry.tip_ft, 190.0)]
    if length is not None:
        marks.insert(0, (f"top of {what}", foot + length, 138.0))
    for word, height, off in marks:
        d.dimension(
            (radius, height, 8, 0), (radius, 0, 8, 0), off, "vertical", f"{word} {height:.1f} ft", size
        )
    d.line((0, 0), (0, 0, 0, -40), weight="thin", dash="axis", layer="axis")
    d.line((0, 0), (0, review.set_up.boom.pin_height_ft + 14), weight="thin", dash="axis", layer="axis")
    d.dimension(
        (0, 0, 0, -16), (radius, 0, 0, -16), -24, "horizontal", f"radius {f.known.radius_ft:g} ft", size
    )
    step = next(step for step in (10.0, 20.0, 40.0, 100.0) if step * d.px_per_ft >= 28)
    steps = 4 if 4 * step * d.px_per_ft <= 130 or not on_card else 2
    # a short radius is written past its arrow
    aside = 52 if radius * d.px_per_ft > 92 else 120
    if on_card:
        # the title block says the scale in words
        d.add("note", lambda frame: scale_bar(frame, (radius, 0, aside, -36), step, steps)[:-1])
    else:
        d.scale_bar((radius, 0, aside, -36), step, steps)


def _notes(
    d: Drawing,
    review: LiftReview,
    geometry: CraneGeometry,
    radius: float,
    foot: float,
    size: float,
) -> None:
    f = review.figures
    crane, boom = f.row("crane"), f.known.boom_ft
    assert crane is not None
    lead = size * 1.28
    middle = _on_boom(review, geometry, 0.5)
    d.text((0, middle[1], LEFT_PX, 8), f"boom {boom:g} ft\nat {geometry.angle_deg:.1f}°", size, routed=True)
    d.line((0, middle[1], LEFT_PX + 88, 4), middle, weight="thin", layer="note")
    mat = ""
    if f.known.mat_length_ft and f.known.mat_width_ft:
        mat = f"\n4 mats,\n{f.known.mat_length_ft:g} by {f.known.mat_width_ft:g} ft"
    words = f"{_short(crane['name'])}{mat}"
    # over the crane's own balloon, however low the boom
    clear_of = CRANE_BALLOON_FT + (24 + lead * words.count("\n")) / d.px_per_ft
    low = max(geometry.tip_ft * 0.26, crane["pin_height_ft"] + 60 / d.px_per_ft, clear_of)
    d.text((0, low, LEFT_PX, 0), words, size, routed=True)
    # a turbine is so low that its two notes stand over and under each other
    apart = 0 if f.is_tower else 1.4 * lead
    if f.known.center_ft is not None:
        at = foot + f.known.center_ft
        d.line((radius, at, 8, 0), (radius, at, 30, apart), weight="thin", layer="note")
        up = f"{f.known.center_ft:.0f} ft up"
        d.text((radius, at, 34, apart + 2), f"center of gravity\n{up}", size, blank=True)
    over = "over bolts" if f.is_tower else "over the top"
    out = outline(f.own_corners)[0][1]
    d.text((radius + out, foot, 12, -lead * 0.1 - apart), f"{f.known.over_ft:g} ft {over}", size, blank=True)


def _short(name: str) -> str:
    """ "55-ton truck crane" fits the margin as two lines."""
    words = name.split()
    return "\n".join([" ".join(words[:2]), " ".join(words[2:])]) if len(name) > 16 else name


def _on_boom(review: LiftReview, geometry: CraneGeometry, part: float) -> tuple[float, float]:
    crane = review.figures.row("crane")
    assert crane is not None
    pin = (-crane["pin_behind_ft"], crane["pin_height_ft"])
    return pin[0] + (review.set_up.radius_ft - pin[0]) * part, pin[1] + (geometry.tip_ft - pin[1]) * part


def _clearance(d: Drawing, review: LiftReview, geometry: CraneGeometry, radius: float, size: float) -> None:
    """From the corner that comes nearest, square to the boom."""
    closest, asked_ft = geometry.closest, review.figures.known.clear_ft
    what = "tower" if review.figures.is_tower or closest.corner.up_ft < 0 else "turbine"
    th = math.radians(geometry.angle_deg)
    corner = (radius - closest.corner.out_ft, closest.height_ft)
    boom = (corner[0] - closest.clear_ft * math.sin(th), corner[1] + closest.clear_ft * math.cos(th))

    def arrow(frame: Frame) -> list[Shape]:
        a, b = frame.px(corner), frame.px(boom)
        if math.dist(a, b) < 1:
            return []
        way = math.atan2(b[1] - a[1], b[0] - a[0])
        return [Stroke((a, b), Pen("medium")), arrowhead(b, way, 7.0), arrowhead(a, way + math.pi, 7.0)]

    d.add("dimension", arrow)
    d.text(
        (0, corner[1], LEFT_PX, 54),
        f"boom to {what} {closest.clear_ft:.1f} ft\nat least {readable(asked_ft)} ft",
        size,
        routed=True,
    )
    d.line((0, corner[1], LEFT_PX + 118, 44), boom, weight="thin", layer="note")


def _balloons(d: Drawing, review: LiftReview, geometry: CraneGeometry, radius: float, foot: float) -> None:
    """Numbers of the schedule of inputs, at what they change."""
    f, balloons = review.figures, by_balloon(LiftFigures)
    boom = _on_boom(review, geometry, 0.66)
    crane = f.row("crane")
    assert crane is not None
    pick = foot + review.set_up.heights.pick_ft
    at = (
        ("crane", (0, CRANE_BALLOON_FT, LEFT_PX + 8, 0), (-crane["tail_swing_ft"], 8)),
        ("boom_ft", (0, boom[1], LEFT_PX + 60, 0), boom),
        # at the beginning of its dimension: on a short one its words take up the rest
        ("radius_ft", (0, 0, 20, -64), (0, 0, 12, -40)),
        ("clear_ft", (0, geometry.closest.height_ft, LEFT_PX + 176, 52), None),
        ("over_ft", (radius, foot, -34, -2), (radius, foot, -2, -4)),
        ("pick_ft", (radius, pick, 44, -14), (radius, pick, 4, 0)),
        ("rigging_ft", (radius, geometry.hook_ft, 56, 14), (radius, (geometry.hook_ft + pick) / 2, 3, 0)),
        ("block_lb", (radius, geometry.hook_ft, 82, 34), (radius, geometry.hook_ft, 6, 14)),
        ("weight_lb", (radius, foot, 92, 60), (radius, foot, 12, 60)),
        ("mat_length_ft", (0, 0, LEFT_PX + 20, -34), (-crane["along_ft"] / 2, 0)),
    )
    for name, place, tip in at:
        if name in balloons:
            d.balloon(place, balloons[name], tip)
