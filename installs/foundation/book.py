"""The foundation in the job book: the hole with its two mats, before the pour."""

from __future__ import annotations

from datetime import datetime

from installs.drafting import Drawing, feet_and_inches, to_svg
from installs.foundation.facts import FoundationFacts
from installs.foundation.section import draw_ground, draw_mats, mat_size
from installs.foundation.standing import standing_of
from installs.jobs.models import Job
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.foundation.rebar import MATS

WIDE_PX, TALL_PX, NARROW_PX = 300.0, 90.0, 210.0


def strip(job: Job, phase: str, at: datetime, narrow: bool = False) -> str:
    """SVG from the release, or from the draft while nothing is released; "" if there is neither.

    ``narrow`` is for a phone: the words stand under the hole.
    """
    standing = standing_of(job)
    if standing.figures is None or standing.facts is None:
        return ""
    said = f"release {standing.letter}" if standing.letter else "draft"
    return _svg(standing.figures, standing.facts, said, narrow)


def _svg(figures: FoundationFigures, facts: FoundationFacts, standing: str, narrow: bool) -> str:
    px_per_ft = min(
        (NARROW_PX if narrow else WIDE_PX) / facts.side_ft, TALL_PX / max(facts.thickness_ft, facts.bottom_ft)
    )
    d = Drawing("Excavation and rebar", px_per_ft)
    draw_ground(d, facts)
    draw_mats(d, figures, facts)
    side, top, grade = facts.side_ft, facts.thickness_ft, facts.bottom_ft
    d.rectangle(0, 0, side, top, weight="thin", dash="hidden", layer="concrete")
    beside = 36 if narrow else 60
    d.line((0, grade, -beside, 0), (0, grade), "medium", layer="ground")
    d.line((side, grade), (side, grade, beside, 0), "medium", layer="ground")
    bars = dict.fromkeys((figures.bar_size, mat_size(figures, "upper")), 0)
    for mark in facts.marks:
        if mark.mat in MATS:
            bars[mark.size] += mark.count * mark.pieces
    said = [
        f"{feet_and_inches(side)} by {feet_and_inches(facts.across_ft)},",
        f"{feet_and_inches(top)} thick, {standing}",
        f"{' and '.join(f'{n} bars {size}' for size, n in bars.items())}, {facts.steel_lb:,.0f} lb",
    ]
    d.text(
        (0, 0, -beside, -34) if narrow else (side, top / 2, 66, 14), "\n".join(said), size=12, layer="note"
    )
    return to_svg(d, margin=4)
