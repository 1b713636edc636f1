"""Section A-A: the pad in the ground, mats, anchor bolts, frost, water, loads."""

from __future__ import annotations

from collections.abc import Iterable

from installs.drafting import Drawing
from installs.drafting.frame import Point
from installs.foundation.facts import FoundationFacts
from installs.foundation.legs import leg_places, plate_side_ft
from sitecalc.cells import figure_named
from sitecalc.checks import readable
from sitecalc.foundation.bar_schedule import PedestalBars
from sitecalc.foundation.bending import hook
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.foundation.rebar import MATS, Mat
from sitecalc.foundation.tables import anchor_bolts, bars

EARTH_PX = 26
PEDESTAL_COVER_IN: float = figure_named(PedestalBars, "cover_in").default
# water deeper than this below the underside is said, not drawn
WATER_DRAWN_FT = 3.0
NOTE_UNDER_BOLTS_PX = 42.0  # for a note between the bolts' feet and the lower mat


def section(figures: FoundationFigures, facts: FoundationFacts, px_per_ft: float) -> Drawing:
    """Origin at the underside of the pad's left edge; grade lies at the depth of the underside."""
    d = Drawing("Section A-A", px_per_ft)
    side, top, grade = facts.side_ft, facts.thickness_ft, facts.bottom_ft
    draw_ground(d, facts)
    d.hatch("concrete", [(0, 0), (side, 0), (side, top), (0, top)])
    d.rectangle(0, 0, side, top, weight="heavy", layer="concrete")
    _pedestal(d, figures, facts)
    draw_mats(d, figures, facts)
    _mat_balloons(d, figures, facts)
    _anchors(d, figures, facts)
    _loads(d, figures, facts)
    quiet, level = _quiet_ft(facts), _quiet_level_ft(d, figures, facts)
    d.text((quiet, level, 17, -5), f"f'c {facts.fc_psi:,.0f} psi", size=15, blank=True, layer="note")
    d.balloon((quiet, level), 12)
    lowest = _frost(d, figures, facts)
    lowest = min(lowest, _water(d, figures, facts))
    _dimensions(d, facts)
    d.balloon((side * 0.115, 0, 0, -62), 11, (side * 0.08, 0, 0, -14))
    d.drawing_title((0, lowest, 0, -92), "Section A-A")
    d.scale_bar((0, lowest, 150, -92), steps=2)
    d.line((0, grade, -122, 0), (0, grade), "medium", layer="ground")
    d.line((side, grade), (side, grade, 96, 0), "medium", layer="ground")
    return d


def _pedestal(d: Drawing, figures: FoundationFigures, facts: FoundationFacts) -> None:
    """Concrete over the pad with its verticals, whose feet stand on the lower mat, and their ties."""
    standing = facts.pedestal
    if standing is None:
        return
    left, right = (facts.side_ft - standing.side_ft) / 2, (facts.side_ft + standing.side_ft) / 2
    top, up = facts.thickness_ft, facts.top_of_concrete_ft
    d.hatch("concrete", [(left, top), (right, top), (right, up), (left, up)])
    d.polyline([(left, top), (left, up), (right, up), (right, top)], "heavy", layer="concrete")
    cover = PEDESTAL_COVER_IN / 12
    foot = mat_levels_ft(figures, facts)[0] + bars()[figures.bar_size].diameter_in / 12
    for x, turn in ((left + cover, -1), (right - cover, 1)):
        d.polyline([(x + turn * 0.8, foot), (x, foot), (x, up - cover)], "medium", layer="rebar")
    level = up - cover
    while level > top:
        d.line((left + cover, level), (right - cover, level), "thin", layer="rebar")
        level -= figures.tie_spacing_in / 12


def draw_ground(d: Drawing, facts: FoundationFacts) -> None:
    """Earth beside and under the pad, and on it where it lies below grade."""
    side, top, grade = facts.side_ft, facts.thickness_ft, facts.bottom_ft
    e = EARTH_PX
    beside = max(grade, 0.0)
    d.hatch("earth", [(0, beside, -e, 0), (0, beside), (0, 0, 0, -e), (0, 0, -e, -e)])
    d.hatch("earth", [(side, beside), (side, beside, e, 0), (side, 0, e, -e), (side, 0, 0, -e)])
    d.hatch("earth", [(0, 0), (side, 0), (side, 0, 0, -e), (0, 0, 0, -e)])
    if grade > top:
        d.hatch("earth", [(0, top), (side, top), (side, grade), (0, grade)])


def draw_mats(d: Drawing, figures: FoundationFigures, facts: FoundationFacts) -> None:
    """Bars in the plane of the section as lines with their hooks, bars across it as dots inside of them."""
    edge, side = figures.cover_side_in / 12, facts.side_ft
    for mat, y in zip(MATS, mat_levels_ft(figures, facts), strict=True):
        size = mat_size(figures, mat)
        bar = bars()[size].diameter_in / 12
        across = [m for m in facts.marks if m.mat == mat and m.runs == "north to south"]
        count, spacing = sum(m.count for m in across), across[0].spacing_in / 12
        d.line((edge, y), (side - edge, y), "bar", layer="rebar")
        _hooks(d, figures, size, edge, side, y, up=mat == "lower")
        for i in range(count):
            at = (side / 2 + (i - (count - 1) / 2) * spacing, y + (bar if mat == "lower" else -bar))
            d.circle(at, bar / 2, radius_px=0.8, weight="", fill="ink", layer="rebar")


def _hooks(
    d: Drawing, figures: FoundationFigures, size: str, edge: float, side: float, y: float, *, up: bool
) -> None:
    """The ends of the bars turn into the pad: those of the lower mat up, those of the upper down."""
    if figures.bar_ends == "straight":
        return
    turned = hook(size, 90 if figures.bar_ends == "90 degree" else 180)
    leg = turned.leg_in / 12 * (1 if up else -1)
    back = turned.end_in / 12 if turned.angle_deg == 180 else 0.0
    for x, inward in ((edge, 1), (side - edge, -1)):
        points = [(x, y), (x, y + leg)]
        if back:
            points.append((x + inward * back, y + leg))
        d.polyline(points, "bar", layer="rebar")


def _mat_balloons(d: Drawing, figures: FoundationFigures, facts: FoundationFacts) -> None:
    lower, upper = mat_levels_ft(figures, facts)
    quiet = _quiet_ft(facts)
    d.balloon((quiet, facts.thickness_ft, 2, 34), 6, (quiet, upper, 20, 0))
    d.balloon((facts.side_ft * 0.51, 0, 0, -50), 5, (facts.side_ft * 0.54, lower))


def mat_levels_ft(figures: FoundationFigures, facts: FoundationFacts) -> tuple[float, float]:
    """Middle of the outer bars of lower and upper mat, above the underside."""
    lower, upper = (bars()[mat_size(figures, mat)].diameter_in for mat in MATS)
    return (
        (figures.cover_lower_in + lower / 2) / 12,
        facts.thickness_ft - (figures.cover_upper_in + upper / 2) / 12,
    )


def mat_size(figures: FoundationFigures, mat: Mat) -> str:
    return figures.upper_bar_size or figures.bar_size if mat == "upper" else figures.bar_size


def _quiet_ft(facts: FoundationFacts) -> float:
    """Where notes stand clear of the legs: left of the middle between wide legs, else near the left edge."""
    columns = anchor_columns(facts)
    wide = len(columns) == 2 and columns[0][0] < 0.32 * facts.side_ft
    return facts.side_ft * (0.39 if wide else 0.16)


def _quiet_level_ft(d: Drawing, figures: FoundationFigures, facts: FoundationFacts) -> float:
    """Under the bolts where their embedment is dimensioned and there is room, else half way up."""
    under = facts.top_of_concrete_ft - figures.embedment_in / 12
    if _says_embedment(d, figures) and anchor_columns(facts) and under * d.px_per_ft > NOTE_UNDER_BOLTS_PX:
        return under * 0.55
    return facts.thickness_ft * 0.47


def _says_embedment(d: Drawing, figures: FoundationFigures) -> bool:
    """Room for its words between the arrows; else the schedule says it."""
    return figures.embedment_in / 12 * d.px_per_ft > 62


def anchor_columns(facts: FoundationFacts) -> list[tuple[float, float, float]]:
    """(middle, left bolt, right bolt) of each leg that the section cuts, in feet from the left edge."""
    legs, half = facts.legs, facts.side_ft / 2
    places = leg_places(legs)
    if legs.legs == 0 and legs.spacing_ft:
        out = legs.spacing_ft / 2
        return [(half - out, half - out, half - out), (half + out, half + out, half + out)]
    pattern = (legs.pattern_in or 0.0) / 24
    row = sorted({round(x, 6) for x, y in places if y < 0})
    return [(half + x, half + x - pattern, half + x + pattern) for x in row]


def _anchors(d: Drawing, figures: FoundationFigures, facts: FoundationFacts) -> None:
    top = facts.top_of_concrete_ft
    thick = anchor_bolts()[figures.anchor_size].diameter_in / 12
    embedded, above = figures.embedment_in / 12, figures.projection_in / 12
    plate, level = figures.anchor_plate_in / 24, top + above * 0.45
    columns = anchor_columns(facts)
    for middle, *bolts in columns:
        for x in dict.fromkeys(bolts):
            d.rectangle(x - thick / 2, top - embedded, thick, embedded + above, weight="medium", fill="blank",
                        layer="anchor bolt")  # fmt: skip
            d.rectangle(x - plate, top - embedded - 0.09, 2 * plate, 0.09, weight="medium", fill="ink",
                        layer="anchor bolt")  # fmt: skip
            for y in (level - thick, level + 0.08):
                d.rectangle(x - thick, y, 2 * thick, thick * 0.9, fill="blank", layer="anchor bolt")
        _leg(d, facts, middle, level)
    if columns:
        middle, left, right = columns[-1]
        d.balloon((right, top, 58, 46), 8, (right, top + above, 2, -2))
        if _says_embedment(d, figures):
            d.dimension((left, top), (left, top - embedded), -30, "vertical", size=12)


def _leg(d: Drawing, facts: FoundationFacts, middle: float, level: float) -> None:
    """Base plate and the foot of a leg, broken off; a tube has one plate over both of its sides."""
    half = 0.35 if facts.legs.legs == 0 else plate_side_ft(facts.legs) / 2
    d.rectangle(middle - half, level, 2 * half, 0.08, weight="medium", fill="blank", layer="tower")
    for off in (-7, 7):
        d.line((middle, level + 0.08, off, 0), (middle, level + 0.08, off, 46), "medium", layer="tower")
    d.break_line((middle, level + 0.08, -14, 46), (middle, level + 0.08, 14, 46))


def _loads(d: Drawing, figures: FoundationFigures, facts: FoundationFacts) -> None:
    columns = anchor_columns(facts)
    if not columns:
        at, y = facts.side_ft / 2, facts.top_of_concrete_ft
    else:
        at, y = columns[-1][0], facts.top_of_concrete_ft + figures.projection_in / 12 * 0.45
    d.leader((at, y, 0, 54), (at, y, 0, 92))
    d.line((at, y, 0, 92), (at, y, 0, 60), "bar", layer="load")
    d.balloon((at, y, 34, 80), 13, (at, y, 2, 80))
    d.leader((at, y, -14, 28), (at, y, -66, 28))
    d.line((at, y, -66, 28), (at, y, -22, 28), "bar", layer="load")
    d.balloon((at, y, -86, 28), 14, (at, y, -66, 28))


def _frost(d: Drawing, figures: FoundationFigures, facts: FoundationFacts) -> float:
    """Frost line with its depth; the lowest line drawn, ft."""
    grade, side = facts.bottom_ft, facts.side_ft
    if figures.frost_ft is None:
        d.text((0, grade, -122, -22), "frost depth\nnot given", size=12, layer="note")
        d.balloon((0, grade, -104, 34), 4, (0, grade, -104, 2))
        return 0.0
    line = grade - figures.frost_ft
    pieces: Iterable[tuple[Point, Point]] = [((0, line, -130, 0), (side, line, 118, 0))]
    if line > -1e-9:
        pieces = [((0, line, -130, 0), (0, line, -2, 0)), ((side, line, 2, 0), (side, line, 118, 0))]
    for a, b in pieces:
        d.line(a, b, "medium", "limit", layer="frost")
    # beyond the dimensions of the pad
    d.text((side, line, 124, -4), "frost line", routed=True, size=13, layer="note")
    if figures.frost_ft > 0:
        d.dimension((0, grade), (0, line), -104, "vertical")
    d.balloon((0, grade, -134, 36), 4, (0, grade, -104, -16))
    return min(0.0, line)


def _water(d: Drawing, figures: FoundationFigures, facts: FoundationFacts) -> float:
    side = facts.side_ft
    if figures.water_ft is None:
        said = "highest water not given"
    else:
        level = facts.bottom_ft - figures.water_ft
        said = f"highest water {readable(figures.water_ft)} ft below grade"
        if level >= -WATER_DRAWN_FT:
            for a, b in (
                ((0, level, -96, 0), (0, level, -2, 0)),
                ((side, level, 2, 0), (side, level, 60, 0)),
            ):
                d.line(a, b, "medium", "tentative", layer="water")
            d.polygon([(side, level, 44, 1), (side, level, 38, 11), (side, level, 50, 11)], layer="water")
        else:
            said += ", not drawn"
    low = min(0.0, facts.bottom_ft - (figures.frost_ft or 0.0))
    d.balloon((side * 0.71, low, 0, -30), 10)
    d.text((side * 0.71, low, 15, -34), said, routed=True, size=13, blank=True, layer="note")
    return low


def _dimensions(d: Drawing, facts: FoundationFacts) -> None:
    side, top, grade = facts.side_ft, facts.thickness_ft, facts.bottom_ft
    d.dimension((0, grade), (0, 0), -58, "vertical")
    d.dimension((side, 0), (side, top), 76, "vertical")
    d.balloon((side, top * 0.12, 108, 0), 2, (side, top * 0.12, 76, 0))
    if abs(facts.top_above_grade_ft) > 1e-6:
        d.dimension((side, grade), (side, top), 46, "vertical")
    d.balloon((side, top, 74, 46), 3, (side, max(top, grade), 46, 2))
    columns = anchor_columns(facts)
    standing = facts.pedestal
    if standing is not None:
        left = (side - standing.side_ft) / 2
        d.dimension((left, top), (left, facts.top_of_concrete_ft), -26, "vertical", size=12)
        d.dimension((left, top), (side - left, top), (facts.top_of_concrete_ft - top) * d.px_per_ft + 86)
    elif columns and facts.legs.legs:
        d.dimension((0, top), (columns[0][0], top), 44, "horizontal")
