"""The foundation's paper sheets: the pad drawn to scale, and its checks and figures."""

from __future__ import annotations

from typing import Any

from installs.drafting import feet_and_inches
from installs.foundation.bars import plan_of, stock_lengths
from installs.foundation.bent import scale_of, shapes_svg
from installs.foundation.bolt_template import template_context
from installs.foundation.drawing import paper_bearing, paper_drawings, paper_scale
from installs.foundation.facts import FoundationFacts, bar_lines, released_facts
from installs.foundation.words import rose_words
from installs.jobs.drafts import released_figures
from installs.jobs.figures import figures_of, lettered
from installs.jobs.models import DesignRevision, Job
from sitecalc.checks import readable
from sitecalc.figures import by_balloon
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.inputs import InputError


def pad_sheet(job: Job, revision: DesignRevision) -> dict[str, Any]:
    """Plan and section to scale, bar list and take-off."""
    facts, figures = released_facts(revision), released_figures(FoundationFigures, revision)
    return {
        "title": "Foundation",
        "sheet": "F-1",
        "scale": f"1 in = {paper_scale(facts):g} ft",
        "drawings": paper_drawings(figures, facts),
        "checks": [],
        "facts": facts,
        "bar_lines": bar_lines(facts.marks),
        "notes": _notes(facts, revision),
    }


def checks_sheet(job: Job, revision: DesignRevision) -> dict[str, Any]:
    """The checks of the release, what an engineer accepted, the rose of bearing, and the figures."""
    facts, figures = released_facts(revision), released_figures(FoundationFigures, revision)
    titles = {check["key"]: check["title"] for check in revision.checks}
    return {
        "title": "Foundation: checks and figures",
        "sheet": "F-2",
        "drawings": paper_bearing(figures, facts),
        "checks": revision.checks,
        "letter": revision.letter,
        "rose_words": rose_words(facts, figures.prevailing),
        "acceptances": [
            {"check": titles.get(a.check_key, a.check_key), "engineer": a.in_words, "reason": a.reason}
            for a in revision.acceptances.select_related("engineer")
        ],
        "figures": _numbered(revision),
    }


def bars_sheet(job: Job, revision: DesignRevision) -> dict[str, Any]:
    """Every bar by mark, its bent shape, and how the stock is cut."""
    facts, figures = released_facts(revision), released_figures(FoundationFigures, revision)
    try:
        plan, fault = plan_of(facts, stock_lengths([], figures.stock_ft)), ""
    except InputError as error:
        plan, fault = None, error.message
    return {
        "title": "Foundation: bars",
        "sheet": "F-3",
        "scale": f"1 in = {scale_of(facts.marks):g} ft",
        "drawings": {"shapes": shapes_svg(facts.marks, for_print=True)},
        "checks": [],
        "facts": facts,
        "plan": plan,
        "fault": fault,
    }


def template_sheet(job: Job, revision: DesignRevision) -> dict[str, Any]:
    """Where every anchor bolt stands, one template to cut, what to tape."""
    facts, figures = released_facts(revision), released_figures(FoundationFigures, revision)
    return {
        "title": "Foundation: bolt template",
        "sheet": "F-4",
        "checks": [],
        **template_context(figures, facts, for_print=True),
        "tolerance": feet_and_inches(figures.template_tolerance_in / 12),
        "projection": feet_and_inches(figures.projection_in / 12),
    }


def _numbered(revision: DesignRevision) -> list[dict[str, Any]]:
    """Figures by balloon number, then those without one."""
    lines = figures_of("foundation", revision.inputs, revision.stands_on)
    numbers = by_balloon(FoundationFigures)
    lines.sort(key=lambda line: numbers.get(line["name"], len(numbers) + 1))
    for line in lines:
        if line["name"] in numbers:
            line["label"] = f"{numbers[line['name']]}  {line['label']}"
    return lines


def equipment(revision: DesignRevision) -> list[dict[str, Any]]:
    facts = released_facts(revision)
    size = f"{facts.side_ft:g} x {facts.across_ft:g} x {facts.thickness_ft:g}"
    listed: list[dict[str, Any]] = [
        {
            "item": "Concrete pad",
            "detail": f"{size} ft, {facts.fc_psi:,.0f} psi",
            "quantity": readable(round(facts.volume_yd3, 1)),
            "unit": "yd3",
        }
    ]
    return listed + [
        {"item": line.item, "detail": line.detail, "quantity": str(line.quantity), "unit": "each"}
        for line in facts.anchors[:1]
    ]


def _plate_words(facts: FoundationFacts) -> list[str]:
    """Nothing of a release from before the plate was a figure: it prints as it did."""
    legs = facts.legs
    if legs.plate_in is None or legs.legs is None:
        return []
    what = "Base ring, outside diameter" if legs.legs == 0 else "Base plates, side"
    if legs.plate_proposed:
        past = "3 in past the bolts, proposed (common practice, no source)"
        return [f"{what} {legs.plate_in:g} in as drawn: {past}. The tower's drawing decides."]
    return [f"{what} {legs.plate_in:g} in."]


def _notes(facts: FoundationFacts, revision: DesignRevision) -> list[str]:
    loads, source = facts.loads, lettered(facts.loads.source, revision.stands_on)
    stated = "Loads are not given."
    if loads.moment_kip_ft is not None and loads.shear_kip is not None:
        stated = (
            f"Wind at top of pad {readable(loads.moment_kip_ft)} kip-ft and {readable(loads.shear_kip)} kip, "
            f"{loads.kind or 'kind not given'}; from {source}."
        )
    dead = (
        "" if loads.dead_kip is None else f" Dead load of tower and turbine {readable(loads.dead_kip)} kip."
    )
    return [
        stated + dead,
        *_plate_words(facts),
        "Checks of ground, concrete, steel and anchor bolts are on sheet F-2; bars on F-3, bolts on F-4. "
        "The licensed engineer judges them, and fatigue. Local code decides.",
        "Anchor bolts are set with the tower maker's template; none is bent or cut without the engineer.",
        "Numbers in circles are those of the figures on sheet F-2.",
    ]
