"""The foundation's drawings: plan over section on one sheet at one scale, and the rose of bearing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from installs.drafting import Drawing, to_svg
from installs.foundation.facts import FoundationFacts, released_facts
from installs.foundation.marks import Drawn, ghost, ring
from installs.foundation.models import FoundationDesign
from installs.foundation.plan import plan
from installs.foundation.pressure import pressure_drawing, winds_drawing
from installs.foundation.review import Review, pad_case, winds_of
from installs.foundation.rose import rose
from installs.foundation.section import section
from installs.jobs.standing import in_force
from sitecalc.checks import Check
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.foundation.pad import WindBearing

# feet an inch of paper may stand for
SCALES = (1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0)
WIDEST_PX, PAPER_PX = 540.0, 480.0
BETWEEN_PX = 232.0  # from the foot of the plan to the top of the pad in the section


def scale_of(facts: FoundationFacts, widest_px: float = WIDEST_PX) -> float:
    """Feet an inch: the largest round scale at which the plan is no wider than this."""
    longer = max(facts.side_ft, facts.across_ft)
    return next((feet for feet in SCALES if longer * 96 / feet <= widest_px), SCALES[-1])


def paper_scale(facts: FoundationFacts) -> float:
    return scale_of(facts, PAPER_PX)


def pad_drawing(
    figures: FoundationFigures,
    facts: FoundationFacts,
    checks: Iterable[Check] = (),
    released: tuple[str, FoundationFacts] | None = None,
) -> Drawing:
    """Plan with the section under it, edge under edge.

    What fails of ``checks`` is ringed, and the pad that was ``released`` (letter, facts) stands behind.
    """
    px_per_ft = 96 / scale_of(facts)
    size = f"{facts.side_ft:g} by {facts.across_ft:g} by {facts.thickness_ft:g} ft"
    sheet = Drawing(f"Foundation pad {size}, plan and section", px_per_ft)
    top, cut = plan(figures, facts, px_per_ft), section(figures, facts, px_per_ft)
    on = Drawn(figures=figures, facts=facts, px_per_ft=px_per_ft)
    if released is not None:
        ghost(*released, top, cut, on)
    ring(checks, top, cut, on)
    sheet.place(top, (0, 0))
    down = max(facts.top_of_concrete_ft, facts.bottom_ft)
    sheet.place(cut, (0, -down, 0, -BETWEEN_PX))
    return sheet


def draw(draft: FoundationDesign, reviewed: Review | None) -> dict[str, str]:
    """For the page: "pad" and, where there is any pressure, "rose"."""
    if reviewed is None:
        return {}
    revision = in_force(draft.job, "foundation")
    released = (revision.letter, released_facts(revision)) if revision else None
    drawn = pad_drawing(draft.figures, reviewed.results, reviewed.checks, released)
    under = _pressure(reviewed.results, winds_of(reviewed.pad), reviewed.checks)
    return {"pad": to_svg(drawn), **_rose(reviewed.results), **under}


def paper_drawings(figures: FoundationFigures, facts: FoundationFacts) -> dict[str, str]:
    """For a sheet that is wider than high: plan and section apart, at the same scale."""
    px_per_ft = 96 / paper_scale(facts)
    return {
        "plan": to_svg(plan(figures, facts, px_per_ft), for_print=True),
        "section": to_svg(section(figures, facts, px_per_ft), for_print=True),
    }


def paper_bearing(figures: FoundationFigures, facts: FoundationFacts) -> dict[str, str]:
    """ "rose", "pressure" and "winds" of a release, as far as its loads are known."""
    winds = winds_of(pad_case(figures, facts.loads, facts.pedestal))
    return {**_rose(facts, for_print=True), **_pressure(facts, winds, for_print=True)}


def _pressure(
    facts: FoundationFacts,
    winds: Sequence[WindBearing],
    checks: Iterable[Check] = (),
    *,
    for_print: bool = False,
) -> dict[str, str]:
    drawn = {"pressure": pressure_drawing(facts, checks), "winds": winds_drawing(facts, winds)}
    return {
        name: to_svg(each, margin=2, for_print=for_print) for name, each in drawn.items() if each is not None
    }


def _rose(facts: FoundationFacts, *, for_print: bool = False) -> dict[str, str]:
    around = rose(facts)
    return {} if around is None else {"rose": to_svg(around, margin=2, for_print=for_print)}
