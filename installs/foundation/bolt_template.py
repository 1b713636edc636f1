"""The setting template: all bolts in plan, one plate to cut, and the shop cut file of it."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from typing import Any

from installs.drafting import Drawing, inches_alone, to_dxf, to_svg
from installs.foundation.anchors import bolts_of
from installs.foundation.facts import FoundationFacts
from sitecalc.cases import drawn_from
from sitecalc.foundation.anchor_layout import AnchorLayout, Bolt, bolts, legs
from sitecalc.foundation.anchor_nuts import DOUBLE_NUT, pretension_kip, turn_deg
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.foundation.template import Tape, Template, TemplateCase, template

WIDEST_PX, PAPER_PX = 480.0, 330.0
SCALES_FT = (0.125, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
PAST_HOLES_IN = 2.0  # steel past the outermost holes of a template: common practice, no source


def template_of(figures: FoundationFigures, facts: FoundationFacts) -> Template | None:
    """None while legs or bolts are not known."""
    layout = bolts_of(facts.legs)
    return None if layout is None else template(drawn_from(TemplateCase, figures, layout=layout))


def drawings(
    figures: FoundationFigures, facts: FoundationFacts, *, for_print: bool = False
) -> dict[str, str]:
    """ "layout" of every bolt and "plate" to cut; nothing while the bolts are not known."""
    layout, holes = bolts_of(facts.legs), template_of(figures, facts)
    if layout is None or holes is None:
        return {}
    widest = PAPER_PX if for_print else WIDEST_PX
    return {
        "layout": to_svg(bolt_plan(layout, widest), for_print=for_print),
        "plate": to_svg(plate(layout, holes, widest), for_print=for_print),
    }


def template_context(
    figures: FoundationFigures, facts: FoundationFacts, *, for_print: bool = False
) -> dict[str, Any]:
    """What page and paper show: drawings, holes, distances to tape, how the nuts are turned."""
    return {
        "facts": facts,
        "template": template_of(figures, facts),
        "tapes": tapes_of(template_of(figures, facts)),
        "drawings": drawings(figures, facts, for_print=for_print),
        "bolt_words": _bolt_words(figures),
    }


def tapes_of(found: Template | None) -> list[Tape]:
    """Legs are alike: within a leg only the first one's distances are listed."""
    if found is None:
        return []
    first = next((t.what for t in found.tapes if t.what.startswith("within leg")), "")
    return [
        replace(t, what="within each leg") if t.what == first else t
        for t in found.tapes
        if t.what == first or not t.what.startswith("within leg")
    ]


def _bolt_words(figures: FoundationFigures) -> str:
    size, grade = figures.anchor_size, figures.anchor_grade
    tension = pretension_kip(size, grade)
    parts = {30.0: "1/12", 60.0: "1/6", 120.0: "1/3"}
    turn = parts.get(turn_deg(size, grade), "")
    if tension is None:
        return "Nuts as the tower's maker says."
    return (
        f"Double nuts on {size} in F1554 grade {grade}: upper nut {turn} turn beyond snug, at least "
        f"{tension:g} kip ({DOUBLE_NUT}); the tower's maker decides."
    )


def cut_file(figures: FoundationFigures, facts: FoundationFacts) -> bytes | None:
    """The plate in inches, outline and holes only."""
    layout, holes = bolts_of(facts.legs), template_of(figures, facts)
    if layout is None or holes is None:
        return None
    return to_dxf(plate(layout, holes, WIDEST_PX), unit="in", cut_only=True)


def feet_per_inch(reach_ft: float, widest_px: float) -> float:
    """The largest round scale at which twice the reach is no wider than this."""
    return next((feet for feet in SCALES_FT if 2 * reach_ft * 96 / feet <= widest_px), SCALES_FT[-1])


def bolt_plan(layout: AnchorLayout, widest_px: float) -> Drawing:
    """Every bolt by its mark about the tower's middle, north up."""
    standing = bolts(layout)
    reach = max(b.radius_in for b in standing) / 12
    scale = feet_per_inch(reach, widest_px)
    d = Drawing(f"Anchor bolts in plan, 1 in = {scale:g} ft", 96 / scale)
    for a, b in (((-1, 0), (1, 0)), ((0, -1), (0, 1))):
        ends = [(reach * 1.12 * x, reach * 1.12 * y) for x, y in (a, b)]
        d.line(ends[0], ends[1], "thin", "axis", layer="axis")
    if layout.legs == 1:
        d.circle((0, 0), layout.spacing_ft / 2, weight="thin", dash="axis", layer="axis")
    for bolt in standing:
        _bolt(d, layout, bolt)
    feet = [(leg.x_in / 12, leg.y_in / 12) for leg in legs(layout)]
    if len(feet) > 1:
        d.polygon(feet, "thin", "axis", layer="axis")
        low = sorted(feet, key=lambda p: (round(p[1], 6), p[0]))[:2]
        left, right = sorted(low)
        d.dimension(left, right, -(layout.pattern_in or 0.0) / 24 * d.px_per_ft - 44, "horizontal")
        if layout.legs == 4:
            d.dimension(feet[2], feet[0], 0, "aligned")
    else:
        d.dimension((-layout.spacing_ft / 2, 0), (layout.spacing_ft / 2, 0),
                    -layout.spacing_ft / 2 * d.px_per_ft - 40, "horizontal")  # fmt: skip
    for bolt in standing:  # over the diagonal that is taped
        _named(d, layout, bolt)
    d.north_arrow((reach, reach, 46, 10))
    d.drawing_title((-reach, -reach, 0, -96), "Bolts in plan", f"1 in = {scale:g} ft")
    return d


def _bolt(d: Drawing, layout: AnchorLayout, bolt: Bolt) -> None:
    x, y = bolt.x_in / 12, bolt.y_in / 12
    d.circle((x, y), radius_px=3.5, weight="medium", layer="anchor bolt")
    d.center_mark((x, y), 0.0, 6)


def _named(d: Drawing, layout: AnchorLayout, bolt: Bolt) -> None:
    x, y = bolt.x_in / 12, bolt.y_in / 12
    leg = next(leg for leg in legs(layout) if leg.name == bolt.leg)
    out = (bolt.x_in - leg.x_in, bolt.y_in - leg.y_in)
    far = math.hypot(*out) or 1.0
    at = (x, y, out[0] / far * 16, out[1] / far * 14 - 4)
    d.text(at, bolt.mark, size=12, anchor="middle", blank=True, layer="note")


def plate(layout: AnchorLayout, holes: Template, widest_px: float) -> Drawing:
    """One leg's template, or the ring of a tube, with the holes as they are cut. Origin in its middle."""
    first = legs(layout)[0]
    own = [b for b in bolts(layout) if b.leg == first.name]
    places = [((b.x_in - first.x_in) / 12, (b.y_in - first.y_in) / 12) for b in own]
    past = PAST_HOLES_IN / 12
    reach = max(max(abs(x), abs(y)) for x, y in places) + past
    scale = feet_per_inch(reach, widest_px)
    d = Drawing(f"Setting template, 1 in = {scale * 12:g} in", 96 / scale)
    if layout.legs == 1:
        d.circle((0, 0), layout.spacing_ft / 2 + past, weight="heavy", layer="template")
        d.circle((0, 0), max(layout.spacing_ft / 2 - past, past), weight="heavy", layer="template")
    else:
        d.rectangle(-reach, -reach, 2 * reach, 2 * reach, weight="heavy", layer="template")
    radius = holes.template_hole_in / 24
    for bolt, (x, y) in zip(own, places, strict=True):
        d.circle((x, y), radius, weight="medium", layer="template hole")
        d.center_mark((x, y), radius, 5)
        d.text((x, y, radius * d.px_per_ft + 6, radius * d.px_per_ft + 2), _mark(layout, bolt), size=12,
               layer="note")  # fmt: skip
    _plate_dimensions(d, layout, places, reach)
    count = f"{layout.legs} alike, " if layout.legs > 1 else ""
    said = f"{count}{len(own)} holes {inches_alone(holes.template_hole_in)} dia; 1 in = {scale * 12:g} in"
    d.drawing_title((-reach, -reach, 0, -84), "Template", said)
    return d


def _mark(layout: AnchorLayout, bolt: Bolt) -> str:
    """On a plate that serves every leg only the number counts."""
    return bolt.mark.removeprefix(bolt.leg) if layout.legs > 1 else bolt.mark


def _plate_dimensions(
    d: Drawing, layout: AnchorLayout, places: list[tuple[float, float]], reach: float
) -> None:
    if layout.legs == 1:
        half = layout.spacing_ft / 2
        d.dimension(
            (-half, 0), (half, 0), -reach * d.px_per_ft - 30, "horizontal", text=inches_alone(2 * half * 12)
        )
        return
    columns = sorted({round(x, 9) for x, _y in places})
    rows = sorted({round(y, 9) for _x, y in places})
    d.dimension((-reach, reach), (reach, reach), 30, "horizontal", text=inches_alone(reach * 24))
    if layout.pattern == "circle" and layout.pattern_in is not None:
        d.dimension((-reach, 0), (reach, 0), -reach * d.px_per_ft - 30, "horizontal",
                    text=f"bolt circle {inches_alone(layout.pattern_in)}")  # fmt: skip
        return
    for a, b in pairwise(columns):
        d.dimension((a, -reach), (b, -reach), -30, "horizontal", text=inches_alone((b - a) * 12))
    for a, b in pairwise(rows):
        d.dimension((reach, a), (reach, b), 34, "vertical", text=inches_alone((b - a) * 12))
