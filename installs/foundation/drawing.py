"""The foundation's drawings: plan over section on one sheet at one scale, and the rose of bearing."""

from __future__ import annotations

from installs.drafting import Drawing, to_svg
from installs.foundation.facts import FoundationFacts
from installs.foundation.models import FoundationDesign
from installs.foundation.plan import plan
from installs.foundation.review import Review
from installs.foundation.rose import rose
from installs.foundation.section import section

# feet an inch of paper may stand for
SCALES = (1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0)
WIDEST_PX, DEEPEST_PX = 540.0, 820.0
BETWEEN_PX = 232.0  # from the foot of the plan to the top of the pad in the section


def scale_of(facts: FoundationFacts, share: float = 1.0) -> float:
    """Feet an inch: the largest drawing that fits ``share`` of the sheet's drawing space."""
    for feet in SCALES:
        px = 96 / feet
        tall = (facts.across_ft + facts.thickness_ft) * px
        if max(facts.side_ft, facts.across_ft) * px <= WIDEST_PX * share and tall <= DEEPEST_PX * share:
            return feet
    return SCALES[-1]


def pad_drawing(draft: FoundationDesign, facts: FoundationFacts, share: float = 1.0) -> Drawing:
    """Plan with the section under it, edge under edge."""
    px_per_ft = 96 / scale_of(facts, share)
    sheet = Drawing(
        f"Foundation pad {facts.side_ft:g} by {facts.across_ft:g} by {facts.thickness_ft:g} ft", px_per_ft
    )
    sheet.place(plan(draft, facts, px_per_ft), (0, 0))
    down = max(facts.thickness_ft, facts.bottom_ft)
    sheet.place(section(draft, facts, px_per_ft), (0, -down, 0, -BETWEEN_PX))
    return sheet


def draw(draft: FoundationDesign, reviewed: Review | None) -> dict[str, str]:
    if reviewed is None:
        return {}
    return drawings(draft, reviewed.results)


def drawings(
    draft: FoundationDesign, facts: FoundationFacts, *, for_print: bool = False, share: float = 1.0
) -> dict[str, str]:
    found = {"pad": to_svg(pad_drawing(draft, facts, share), for_print=for_print)}
    around = rose(facts)
    if around is not None:
        found["rose"] = to_svg(around, margin=2, for_print=for_print)
    return found
