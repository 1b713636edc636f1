"""The site in the job book: the plan at thumb size, with what was found beside it."""

from __future__ import annotations

from datetime import datetime

from installs.drafting.shapes import Lettering, Pen, Round, Shape, Stroke
from installs.drafting.svg import svg_document
from installs.jobs.models import Job
from installs.jobs.standing import in_force
from installs.site.facts import SiteFacts, standing_things
from installs.site.models import SiteDesign
from installs.site.review import SiteReview, review_figures
from sitecalc.checks import readable
from sitecalc.inputs import InputError
from sitecalc.site.figures import SiteFigures
from sitecalc.site.siting import SIDES

WIDE, HIGH, NOTES_AT, NARROW = 250.0, 136.0, 284.0, 300.0
PROPERTY = Pen("medium", "property")


def strip(job: Job, phase: str, at: datetime, narrow: bool = False) -> str:
    """Of the released site, or of the draft before there is a release; nothing before a line is measured.
    ``narrow`` is for a phone: what was found stands under the plan."""
    revision = in_force(job, "site")
    draft = None if revision else SiteDesign.objects.filter(job=job).select_related("job").first()
    inputs = revision.inputs if revision else draft.inputs() if draft else None
    if inputs is None:
        return ""
    try:
        found = review_figures(inputs)
    except InputError:
        return ""
    if None in (getattr(found.figures, f"{side}_ft") for side in SIDES):
        return ""
    return strip_svg(found.figures, found, narrow=narrow)


def strip_svg(figures: SiteFigures, found: SiteReview, *, narrow: bool = False) -> str:
    n, e, s, w = (getattr(figures, f"{side}_ft") for side in ("north", "east", "south", "west"))
    scale = min(WIDE / max(w + e, 1.0), HIGH / max(n + s, 1.0))
    x, y = 6 + w * scale, 6 + n * scale
    right, foot = 6 + (w + e) * scale, 6 + (n + s) * scale
    shapes: list[Shape] = [Stroke(((6, 6), (right, 6), (right, foot), (6, foot)), PROPERTY, closed=True)]
    facts = found.results
    if facts is not None:
        shapes.append(Round((x, y), (facts.setback_ft or facts.tip_ft) * scale, Pen("thin", "limit")))
    shapes += [
        Round((x, y), 2.5, Pen("", fill="ink")),
        Stroke(((x, y), (x, 6)), Pen("thin")),
        Stroke(((x, y), (right, y)), Pen("thin")),
        Lettering((x + 4, max(18.0, (6 + y) / 2 + 4)), f"{readable(n)} ft", 12, blank=True),
        Lettering(((x + right) / 2, y + 4), f"{readable(e)} ft", 12, "middle", blank=True),
    ]
    shapes += _things(figures, (x, y), scale, (right, foot))
    notes = _notes(figures, facts)
    left, top = (0.0, foot + 20) if narrow else (max(NOTES_AT, right + 24), 18.0)
    shapes += [
        Lettering((left, top + row * 18), words, 13 if narrow else 14) for row, words in enumerate(notes)
    ]
    return svg_document(
        (("site", shape) for shape in shapes),
        title="Site plan, small",
        box=(0, 0, NARROW, top + len(notes) * 18 - 8) if narrow else (0, 0, 558, max(foot + 8, 104)),
    )


def _things(
    figures: SiteFigures, tower: tuple[float, float], scale: float, corner: tuple[float, float]
) -> list[Shape]:
    """Buildings inside the lot as blocks, one dwelling with its distance; lines and roads left out."""
    shapes: list[Shape] = []
    named = False
    for thing in sorted(standing_things(figures.things), key=lambda t: t.kind != "dwelling"):
        if thing.at is None or thing.kind not in ("dwelling", "building"):
            continue
        x, y = tower[0] + thing.at[0] * scale, tower[1] - thing.at[1] * scale
        if not (6 < x < corner[0] and 6 < y < corner[1]):
            continue
        side = max(6.0, (thing.width_ft or 30) * scale)
        left = x - side if thing.at[0] < 0 else x
        block = ((left, y), (left + side, y), (left + side, y + 0.6 * side), (left, y + 0.6 * side))
        shapes.append(Stroke(block, Pen("medium"), closed=True))
        if not named:
            named = True
            middle = ((tower[0] + x) / 2, (tower[1] + y) / 2 + 4)
            words = f"{readable(thing.distance_ft)} ft"
            shapes.append(Stroke((tower, (x, y)), Pen("thin")))
            shapes.append(Lettering(middle, words, 12, "middle", blank=True))
    return shapes


def _notes(figures: SiteFigures, facts: SiteFacts | None) -> list[str]:
    if facts is None:
        return ["Turbine or hub height not given"]
    sides = [getattr(figures, f"{side}_ft") for side in ("north", "east", "south", "west")]
    required = f", {readable(round(facts.setback_ft, 1))} ft required" if facts.setback_ft else ""
    notes = [
        f"Hub {readable(facts.hub_ft)} ft, tip {readable(round(facts.tip_ft, 1))} ft above grade",
        f"Property line {readable(min(sides))} ft{required}",
    ]
    if facts.hub_mean_mph is not None:
        notes.append(f"Mean wind at hub {facts.hub_mean_mph:.1f} mph")
    if facts.energy is not None:
        notes.append(f"{readable(round(facts.energy.net_kwh, -2))} kWh a year by estimate")
    if figures.soil:
        notes.append(f"Soil {figures.soil}"[:44])
    return notes
