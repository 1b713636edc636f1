"""The small drawing of a lift in the job book: set-up, arc of the raise, the plan in a line or two."""

from __future__ import annotations

from datetime import datetime

from installs.drafting import Drawing, to_svg
from installs.equipment.crane_drawing import draw_boom, draw_crane
from installs.jobs.models import Job
from installs.jobs.standing import in_force
from installs.lift import cases
from installs.lift.checking import LiftReview, review_figures
from installs.lift.models import LiftDesign
from installs.lift.quadrant import draw_arc
from sitecalc.inputs import InputError
from sitecalc.lift.chart import percent_in_words
from sitecalc.lift.hanging import outline
from sitecalc.lift.raising import raise_at
from sitecalc.lift.wind import limit_in_words

HIGH_PX, ARC_PX, NOTE = 104.0, 84.0, 12.0


def strip(job: Job, phase: str, at: datetime, narrow: bool = False) -> str:
    """From the release in force, else from the draft; empty while there is too little to draw.
    ``narrow`` is for a phone: the words stand under the set-up."""
    revision = in_force(job, phase)
    if revision is not None:
        inputs = revision.inputs
    else:
        draft = LiftDesign.of(job, which=phase)
        if draft.pk is None:
            return ""
        inputs = draft.inputs()
    try:
        review = review_figures(inputs)
    except InputError:
        return ""
    return to_svg(_strip(review, narrow), margin=2.0) if review.geometry is not None else ""


def _strip(review: LiftReview, narrow: bool) -> Drawing:
    """In px: the set-up at the left, then the arc or the words."""
    f, geometry = review.figures, review.geometry
    assert geometry is not None
    d = Drawing(f"Set-up of the {f.inputs['which']}", 1.0)
    px = HIGH_PX / geometry.tip_ft
    d.place(_set_up(review), (0, 0), grow=px)
    right = review.set_up.radius_ft * px
    d.line((-30, 0), (right + 84, 0), weight="bar", layer="grade")
    d.text((right + 8, HIGH_PX - 8), f"tip {geometry.tip_ft:.1f} ft", NOTE)
    d.text((right + 14, 14), f"radius {f.known.radius_ft:g} ft", NOTE)
    case = cases.raise_case(f) if f.is_tower else []
    start = right + 106
    if not isinstance(case, list):
        d.text((right + 14, 46), f"tower {case.length_ft:g} ft,\n{case.weight_lb:,.0f} lb", NOTE)
        arc = Drawing("arc", 1.0)
        draw_arc(arc, case, ARC_PX, ARC_PX * 0.17)
        d.place(arc, (start, 0))
        d.line((start - 8, 0), (start + ARC_PX + 6, 0), weight="medium", layer="grade")
        d.text((start - 4, ARC_PX - 6), "90°", NOTE, "end")
        d.text((start + ARC_PX + 10, -4), "0°", NOTE)
        start += ARC_PX + 34
        said = ["arc thickness: hook load"]
        said += [f"{a}° {raise_at(case, float(a)).hook_lb:,.0f} lb" for a in (0, 60, 85)]
        said.append(f"upright {case.weight_lb:,.0f} lb")
        d.text((-30, -20) if narrow else (start, 76), "\n".join(said), NOTE)
    else:
        d.text((-30, -20) if narrow else (start, 62), "\n".join(_words(review)), NOTE)
    return d


def _set_up(review: LiftReview) -> Drawing:
    """Crane, boom, rope and load in feet."""
    f, geometry = review.figures, review.geometry
    crane = f.row("crane")
    assert geometry is not None and crane is not None
    block = Drawing("set-up", 1.0)
    draw_crane(block, crane)
    heights = review.set_up.heights
    radius, foot = review.set_up.radius_ft, heights.load_foot_ft
    draw_boom(block, crane, radius, geometry.tip_ft)
    block.line((radius, geometry.tip_ft), (radius, foot + heights.pick_ft), weight="thin", layer="rope")
    stands = sorted((c.up_ft, c.out_ft) for c in f.corners if c.up_ft < 0)
    for line in (outline(f.own_corners), stands):
        right = [(radius + out, foot + up) for up, out in line]
        left = [(radius - out, foot + up) for up, out in reversed(line)]
        if line:
            block.polygon([*right, *left], weight="medium", fill="blank", layer="load")
    return block


def _words(review: LiftReview) -> list[str]:
    """ "Turbine 2,640 lb, gross 3,630 lb at 38 ft: 24 % of chart, standard lift" """
    f, load, chart, wind = review.figures, review.load, review.chart, review.wind
    lines = []
    if load and chart:
        at = f"{f.known.radius_ft:g} ft"
        lines.append(f"Turbine {load.item_lb:,.0f} lb, gross {load.gross_lb:,.0f} lb at {at}:")
        lines.append(f"{percent_in_words(chart.percent, f.limits)} of chart, {chart.lift_class}")
    gust = f"gust limit at tip {limit_in_words(wind.stop_gust_mph)} mph" if wind else "gust limit not checked"
    lines.append("Brake on and rotor locked before the climb;")
    lines.append(gust)
    return lines
