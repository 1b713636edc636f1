"""Plan at top of pad: mat, legs, the part that bears, winds."""

from __future__ import annotations

import math
from itertools import pairwise

from installs.drafting import Drawing, inches_alone
from installs.drafting.dimensions import dimension_fits
from installs.foundation.facts import FoundationFacts
from installs.foundation.legs import bolt_places, leg_places, plate_side_ft
from sitecalc.foundation.bearing import Point
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.foundation.outline import FLAT, chord
from sitecalc.foundation.pad import OVERTURNS, BearingCase, leeward
from sitecalc.foundation.rebar import BarMark
from sitecalc.foundation.tables import anchor_bolts

LEG_ANGLE_FT = 0.55
NOTE_PX = (168.0, 16.0)  # about what the note of the lifted part covers


def plan(figures: FoundationFigures, facts: FoundationFacts, px_per_ft: float) -> Drawing:
    """Origin at the pad's southwest corner, north up."""
    d = Drawing("Plan at top of pad", px_per_ft)
    side, across = facts.side_ft, facts.across_ft
    _mat(d, figures, facts)
    _outline(d, facts)
    d.line((side / 2, 0, 0, -22), (side / 2, across, 0, 22), weight="thin", dash="axis", layer="axis")
    d.line((0, across / 2, -22, 0), (side, across / 2, 22, 0), weight="thin", dash="axis", layer="axis")
    _contact(d, facts)
    _legs(d, figures, facts)
    _bears(d, facts)
    _dimensions(d, facts)
    _wind(d, figures, facts)
    d.north_arrow((side, across, 76, 20))
    d.drawing_title((0, 0, 0, -84), "Plan at top of pad", _mat_words(facts))
    return d


def _outline(d: Drawing, facts: FoundationFacts) -> None:
    """The pad's edge and, over it, the pedestal's."""
    middle = facts.side_ft / 2, facts.across_ft / 2
    if facts.outline == "circle":
        d.circle(middle, facts.side_ft / 2, weight="heavy", layer="concrete")
    elif facts.outline == "octagon":
        d.polygon(octagon(facts.side_ft), weight="heavy", layer="concrete")
    else:
        d.rectangle(0, 0, facts.side_ft, facts.across_ft, weight="heavy", layer="concrete")
    standing = facts.pedestal
    if standing is None:
        return
    half = standing.side_ft / 2
    if standing.form == "round":
        d.circle(middle, half, weight="heavy", fill="blank", layer="concrete")
    else:
        d.rectangle(middle[0] - half, middle[1] - half, 2 * half, 2 * half, weight="heavy", fill="blank",
                    layer="concrete")  # fmt: skip


def octagon(side_ft: float) -> list[Point]:
    """Corners of a regular octagon in its box, two sides north and south."""
    near, far = side_ft / 2 * (1 - FLAT), side_ft / 2 * (1 + FLAT)
    return [(near, 0.0), (far, 0.0), (side_ft, near), (side_ft, far), (far, side_ft), (near, side_ft),
            (0.0, far), (0.0, near)]  # fmt: skip


def _mat_words(facts: FoundationFacts) -> str:
    upper, lower = (_layers_said(facts, mat) for mat in ("upper", "lower"))
    if upper == lower:
        return f"upper mat drawn, lower mat the same under it: {upper}"
    return f"upper mat drawn: {upper}; lower mat under it: {lower}"


def _layers_said(facts: FoundationFacts, mat: str) -> str:
    layers: dict[str, list[BarMark]] = {}
    for mark in facts.marks:
        if mark.mat == mat:
            layers.setdefault(mark.runs, []).append(mark)
    said = [
        f"{sum(m.count for m in like)} {like[0].size} at {inches_alone(like[0].spacing_in, 4)}"
        for like in layers.values()
    ]
    return (
        f"{said[0]} each way" if len(set(said)) == 1 else f"{said[0]} east to west, {said[1]} north to south"
    )


def _mat(d: Drawing, figures: FoundationFigures, facts: FoundationFacts) -> None:
    """Every bar of the upper mat, as long as the pad lets it be."""
    middle = facts.side_ft / 2, facts.across_ft / 2
    for runs in ("east to west", "north to south"):
        marks = [m for m in facts.marks if m.mat == "upper" and m.runs == runs]
        eastward = runs == "east to west"
        along, width = (facts.side_ft, facts.across_ft) if eastward else (facts.across_ft, facts.side_ft)
        for off in _offsets(sum(m.count for m in marks), marks[0].spacing_in / 12):
            half = chord(facts.outline, width, along, off) / 2 - figures.cover_side_in / 12
            if half <= 0:
                continue
            a, b = ((-half, off), (half, off)) if eastward else ((off, -half), (off, half))
            d.line(_from(middle, a), _from(middle, b), "thin", layer="rebar", ink="pencil")
    d.balloon(
        (facts.side_ft, facts.across_ft * 0.555, 92, 0),
        7,
        (facts.side_ft * 0.875, _bar_near(facts, 0.53)),
    )


def _offsets(count: int, spacing_ft: float) -> list[float]:
    return [(i - (count - 1) / 2) * spacing_ft for i in range(count)]


def _from(middle: Point, off: Point) -> Point:
    return middle[0] + off[0], middle[1] + off[1]


def _bar_near(facts: FoundationFacts, share: float) -> float:
    """Height of the bar running east to west that is nearest to that share of the side."""
    marks = [m for m in facts.marks if m.mat == "upper" and m.runs == "east to west"]
    offsets = _offsets(sum(m.count for m in marks), marks[0].spacing_in / 12)
    wanted = (share - 0.5) * facts.across_ft
    return facts.across_ft / 2 + min(offsets, key=lambda off: abs(off - wanted))


def _contact(d: Drawing, facts: FoundationFacts) -> None:
    """The line where the pad begins to lift, with ticks on the side that lifts, and what bears."""
    case, governing = facts.lifting, facts.governing
    if case is None or governing is None:
        return
    middle = facts.side_ft / 2, facts.across_ft / 2
    held = case.held
    if held is None:
        d.text((*middle, 0, 60), OVERTURNS, anchor="middle", blank=True, bold=True)
        return
    line = zero_line(held.plane, held.corners, facts)
    if line:
        a, b = line
        d.line(a, b, "medium", "limit", layer="contact")
        _ticks(d, a, b, held.plane)
        _lifts(d, facts, a, b, held.plane)
    corner = hardest_pressed(governing, facts)
    right, up = corner[0] > middle[0] - 1e-6, corner[1] > middle[1] + 1e-6
    d.circle(corner, radius_px=2.5, fill="ink", layer="contact")
    note_at = (*corner, -26.0 if right else 26.0, -36.0 if up else 30.0)
    d.line(corner, (*corner, -20.0 if right else 20.0, -26.0 if up else 24.0), "thin", layer="note")
    d.text(
        note_at,
        f"{'edge' if facts.outline == 'circle' else 'corner'} {governing.pressed}, {governing.combination}",
        anchor="end" if right else "start",
        blank=True,
        layer="note",
    )


def _bears(d: Drawing, facts: FoundationFacts) -> None:
    """How much of the pad bears, over the axes of pad and legs."""
    case = facts.lifting
    if case is None or case.held is None:
        return
    middle = facts.side_ft / 2, facts.across_ft / 2
    line = zero_line(case.held.plane, case.held.corners, facts)
    bears = f"{100 * case.fraction:.0f} % of the pad bears," if line else "all of the pad bears,"
    said = f"{bears}\nwind from the {case.wind_from}, {case.combination}"
    # a tube stands in the middle: the note goes below it
    down = (facts.legs.spacing_ft or 0.0) / 2 if facts.legs.legs == 0 else 0.0
    d.text((middle[0], middle[1] - down, -26, -30 if down else 34), said, blank=True, layer="note")


def hardest_pressed(case: BearingCase, facts: FoundationFacts) -> Point:
    """The corner of the contact with the most pressure; of equal ones the easternmost."""
    middle = facts.side_ft / 2, facts.across_ft / 2
    if case.held is None:
        east, north = leeward(case.wind_from)
        return _from(middle, (east * middle[0], north * middle[1]))
    a, b, c = case.held.plane
    pressed = [(round((a + b * x + c * y) / abs(a or 1.0), 6), round(x, 6), y) for x, y in case.held.corners]
    _most, x, y = max(pressed, key=lambda p: (p[0], p[1], -p[2]))
    return _from(middle, (x, y))


def zero_line(
    plane: tuple[float, float, float], corners: tuple[Point, ...], facts: FoundationFacts
) -> tuple[Point, Point] | None:
    """The side of the contact polygon on which the pressure ends, in the plan's coordinates."""
    a, b, c = plane
    flat = [
        (x + facts.side_ft / 2, y + facts.across_ft / 2)
        for x, y in corners
        if abs(a + b * x + c * y) < 1e-6 * (abs(a) + abs(b) * facts.side_ft + abs(c) * facts.across_ft)
    ]
    return (flat[0], flat[1]) if len(flat) == 2 else None


def _ticks(d: Drawing, a: Point, b: Point, plane: tuple[float, float, float]) -> None:
    length, steep = math.dist(a, b), math.hypot(plane[1], plane[2])
    # the pressure falls this way
    off = -plane[1] / steep * 6, plane[2] / steep * -6
    count = int(length * d.px_per_ft / 22)
    for i in range(1, count):
        at = a[0] + (b[0] - a[0]) * i / count, a[1] + (b[1] - a[1]) * i / count
        d.line(at, (*at, *off), "thin", layer="contact")


def _lifts(d: Drawing, facts: FoundationFacts, a: Point, b: Point, plane: tuple[float, float, float]) -> None:
    """On the side that lifts, clear of base plates; nothing where there is no room for words."""
    steep = math.hypot(plane[1], plane[2])
    toward = -plane[1] / steep, -plane[2] / steep
    upper, lower = (a, b) if a[1] >= b[1] else (b, a)
    for along in (0.5, 0.3, 0.7, 0.2, 0.8):
        foot = upper[0] + (lower[0] - upper[0]) * along, upper[1] + (lower[1] - upper[1]) * along
        reach = min(
            ((limit if t > 0 else 0.0) - m) / t
            for m, t, limit in zip(foot, toward, (facts.side_ft, facts.across_ft), strict=True)
            if abs(t) > 1e-9
        )
        for share in (0.5, 0.65, 0.35, 0.8):
            at = foot[0] + toward[0] * reach * share, foot[1] + toward[1] * reach * share
            if reach * d.px_per_ft > 26 and _is_free(at, facts, d.px_per_ft):
                d.text(at, "uplift: no soil contact here", anchor="middle", blank=True, layer="note")
                return


def _is_free(at: Point, facts: FoundationFacts, px_per_ft: float) -> bool:
    """Whether a note there lies on the pad and off the base plates."""
    wide, high = NOTE_PX[0] / 2 / px_per_ft, NOTE_PX[1] / px_per_ft
    if not (wide <= at[0] <= facts.side_ft - wide and high <= at[1] <= facts.across_ft - high):
        return False
    half = plate_side_ft(facts.legs) / 2
    return not any(
        abs(x + facts.side_ft / 2 - at[0]) < wide + half
        and abs(y + facts.across_ft / 2 - at[1]) < high + half
        for x, y in leg_places(facts.legs)
    )


def _legs(d: Drawing, figures: FoundationFigures, facts: FoundationFacts) -> None:
    legs, middle = facts.legs, (facts.side_ft / 2, facts.across_ft / 2)
    places = [(x + middle[0], y + middle[1]) for x, y in leg_places(legs)]
    if not places:
        d.text((*middle, 0, -60), "legs not given", anchor="middle", blank=True, layer="note")
        return
    radius = anchor_bolts()[figures.anchor_size].diameter_in / 24
    if len(places) > 1:
        d.polygon(places, "thin", "axis", layer="tower")
    for x, y in places:
        if legs.legs == 0:
            d.circle((x, y), (legs.spacing_ft or 0.0) / 2, weight="thin", dash="axis", layer="tower")
            d.circle((x, y), (legs.spacing_ft or 0.0) / 2 - 0.25, weight="heavy", layer="tower")
        else:
            half = plate_side_ft(legs) / 2
            d.rectangle(x - half, y - half, 2 * half, 2 * half, fill="blank", layer="tower")
            inward = math.copysign(LEG_ANGLE_FT, middle[0] - x), math.copysign(LEG_ANGLE_FT, middle[1] - y)
            d.polyline(
                [(x + inward[0] / 2, y - inward[1] / 2), (x - inward[0] / 2, y - inward[1] / 2),
                 (x - inward[0] / 2, y + inward[1] / 2)],
                "heavy", layer="tower",
            )  # fmt: skip
        for bx, by in bolt_places(legs):
            d.circle((x + bx, y + by), radius, radius_px=1.2, fill="blank", layer="anchor bolt")
            d.center_mark((x + bx, y + by), radius, 2.5)
    _leg_balloons(d, facts, places)


def _leg_balloons(d: Drawing, facts: FoundationFacts, places: list[Point]) -> None:
    side, across = facts.side_ft, facts.across_ft
    far = max(places, key=lambda p: (p[0] + p[1], p[0]))
    bolts = bolt_places(facts.legs)
    if bolts:
        bx, by = max(bolts, key=lambda p: p[0] - p[1])
        d.balloon((side, across * 0.655, 92, 0), 8, (far[0] + bx, far[1] + by))
    if len(places) > 1:
        near = min(places, key=lambda p: (p[1], -p[0]))
        # on the line from that leg to the one north of it
        share = (across * 0.40 - near[1]) / (far[1] - near[1]) if far[1] != near[1] else 0.0
        at = near[0] + (far[0] - near[0]) * share
        d.balloon((side, across * 0.40, 92, 0), 9, (at, across * 0.40))
    elif facts.legs.spacing_ft:
        d.balloon((side, across * 0.40, 92, 0), 9, (side / 2 + facts.legs.spacing_ft / 2, across / 2))


def _chain(d: Drawing, stops: list[float]) -> None:
    """From stop to stop under the pad.

    What does not fit between its own stops is written past them, in place of the dimension that stands there:
    of a base in the middle of its pad it is the same as on the other side.
    """
    taken = False
    for a, b in pairwise(stops):
        if taken:
            taken = False
            continue
        d.dimension((a, 0), (b, 0), -34, "horizontal")
        taken = not dimension_fits(b - a, d.px_per_ft)


def _dimensions(d: Drawing, facts: FoundationFacts) -> None:
    side, across, px = facts.side_ft, facts.across_ft, d.px_per_ft
    d.dimension((0, across), (side, across), 34, "horizontal")
    d.dimension((0, 0), (0, across), -62, "vertical")
    d.balloon((side * 0.64, across, 0, 80), 1, (side * 0.615, across, 0, 34))
    places = leg_places(facts.legs)
    cut = across / 2
    if len(places) > 1:
        row = sorted({round(x + side / 2, 6) for x, y in places if y < 0})
        cut = min(y for _x, y in places) + across / 2
        _chain(d, [0.0, *row, side])
        half = (facts.legs.pattern_in or 0.0) / 24
        x, y = max(places, key=lambda p: (p[0] + p[1], p[0]))
        x, y = x + side / 2, y + across / 2
        if half and facts.legs.bolts == 4:
            off = (side - x - half) * px + 34
            d.dimension((x + half, y - half), (x + half, y + half), off, "vertical")
    elif facts.legs.spacing_ft:
        left, right = (side - facts.legs.spacing_ft) / 2, (side + facts.legs.spacing_ft) / 2
        _chain(d, [0.0, left, right, side])
    d.section_arrow((0, cut, -30, 0), "A")
    d.section_arrow((side, cut, 30, 0), "A")


def _wind(d: Drawing, figures: FoundationFigures, facts: FoundationFacts) -> None:
    if facts.governing is None:
        return
    named = facts.governing.wind_from
    east, north = leeward(named)
    at = 0.0, facts.across_ft
    tail, tip = (*at, -42 - 36 * east, 38 - 36 * north), (*at, -42 + 36 * east, 38 + 36 * north)
    d.line(tail, (*at, tip[2] - 6 * east, tip[3] - 6 * north), "bar", layer="note")
    d.leader(tip, (*at, tip[2] - 12 * east, tip[3] - 12 * north))
    # barbs at the tail, on the left of its flight
    for back in (0.0, 8.0, 16.0):
        foot = (*at, tail[2] + back * east, tail[3] + back * north)
        end = (*at, foot[2] - 13 * north - 4 * east, foot[3] + 13 * east - 4 * north)
        d.line(foot, end, "medium", layer="note")
    kind = " (prevailing)" if named == figures.prevailing else ""
    d.text((*at, -82, 88), f"governing wind, {named}{kind}", layer="note", routed=True, size=13)
