"""What the page draws over and behind a draft: a crayon ring round what fails, and the pad that was released.

A check has one place, on the plan or on the section. What concerns the pad as a whole has none: it is said
beside the drawing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from installs.drafting import Drawing
from installs.drafting.frame import Point
from installs.foundation.facts import FoundationFacts
from installs.foundation.legs import leg_places, plate_side_ft
from installs.foundation.plan import hardest_pressed, octagon
from installs.foundation.section import anchor_columns, mat_levels_ft
from sitecalc.checks import Check, Verdict
from sitecalc.foundation.figures import FoundationFigures

MOST_RINGS = 4  # the worst: a sheet full of rings shows nothing
GHOST = "under"  # a faint line, on which words may stand


@dataclass(frozen=True)
class Ring:
    """Where, in feet from the drawing's origin (px after them), and how large in px."""

    at: Point
    wide_px: float
    high_px: float


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """What a place is worked out from."""

    figures: FoundationFigures
    facts: FoundationFacts
    px_per_ft: float


Place = Callable[[Drawn], Ring | None]


# on the plan


def _pressed_corner(on: Drawn) -> Ring | None:
    case = on.facts.governing
    return Ring(hardest_pressed(case, on.facts), 64, 64) if case is not None else None


def _middle(on: Drawn) -> Ring | None:
    size = 0.5 * min(on.facts.side_ft, on.facts.across_ft) * on.px_per_ft
    return Ring((on.facts.side_ft / 2, on.facts.across_ft / 2), size, size)


def _leg(on: Drawn) -> Ring | None:
    places = leg_places(on.facts.legs)
    if not places:
        return None
    x, y = max(places, key=lambda place: (place[0], place[1]))
    size = max(plate_side_ft(on.facts.legs) * on.px_per_ft * 1.9, 44.0)
    return Ring((x + on.facts.side_ft / 2, y + on.facts.across_ft / 2), size, size)


# on the section: from the underside of the pad's left edge


def _frost(on: Drawn) -> Ring | None:
    frost = on.figures.frost_ft
    if frost is None:
        return None
    grade = on.facts.bottom_ft
    low = min(grade - frost, 0.0)
    return Ring((0, (grade + low) / 2, -82, 0), 84, (grade - low) * on.px_per_ft + 34)


def _mat(which: int) -> Place:
    def found(on: Drawn) -> Ring | None:
        level = mat_levels_ft(on.figures, on.facts)[which]
        return Ring((on.facts.side_ft / 2, level), 0.94 * on.facts.side_ft * on.px_per_ft, 30)

    return found


def _bolt(on: Drawn) -> Ring | None:
    columns = anchor_columns(on.facts)
    if not columns:
        return None
    middle, left, right = columns[0]
    top, deep = on.facts.top_of_concrete_ft, on.figures.embedment_in / 12
    high = (deep + on.figures.projection_in / 12) * on.px_per_ft
    return Ring((middle, top - deep / 2), max((right - left) * on.px_per_ft + 40, 52), high + 30)


def _bolt_feet(on: Drawn) -> Ring | None:
    columns = anchor_columns(on.facts)
    if not columns:
        return None
    middle, left, right = columns[0]
    foot = on.facts.top_of_concrete_ft - on.figures.embedment_in / 12
    return Ring((middle, foot), max((right - left) * on.px_per_ft + 40, 52), 40)


def _under_the_pad(on: Drawn) -> Ring | None:
    return Ring((on.facts.side_ft / 2, 0), 0.98 * on.facts.side_ft * on.px_per_ft, 36)


def _top(on: Drawn) -> Ring | None:
    columns = anchor_columns(on.facts)
    at = columns[-1][0] if columns else on.facts.side_ft / 2
    return Ring((at, on.facts.top_of_concrete_ft), 96, 34)


PLAN: dict[str, Place] = {
    "bearing": _pressed_corner,
    "contact": _pressed_corner,
    "overturning": _middle,
    "two-way shear": _leg,
    "two-way shear-pulled": _leg,
    "steel near legs": _leg,
}
SECTION: dict[str, Place] = {
    "frost": _frost,
    "sliding": _under_the_pad,
    "buoyancy": _under_the_pad,
    "one-way shear": _under_the_pad,
    "concrete bearing": _top,
    "pedestal": _top,
    "dowels": _top,
    "anchor depth": _bolt_feet,
    "anchor-pullout": _bolt_feet,
    "anchor-foot-bearing": _bolt_feet,
    **dict.fromkeys(
        ("bending-lower", "minimum-lower", "development-lower", "depth", "cover", "bar spacing"), _mat(0)
    ),
    **dict.fromkeys(("bending-upper", "minimum-upper", "development-upper", "minimum steel"), _mat(1)),
}


def place_of(key: str) -> tuple[str, Place] | None:
    """("plan" or "section", where) of a check by its key; None where it has no one place."""
    if key in PLAN:
        return "plan", PLAN[key]
    if key in SECTION:
        return "section", SECTION[key]
    return ("section", _bolt) if key.startswith("anchor-") else None


def ring(checks: Iterable[Check], plan: Drawing, section: Drawing, on: Drawn) -> None:
    """Round the places of the worst checks that fail; of two that stand at one place once."""
    failing = sorted((c for c in checks if c.verdict == Verdict.FAILS), key=lambda c: -(c.ratio or 0.0))
    rung: set[tuple[str, Ring]] = set()
    for check in failing:
        found = place_of(check.key)
        where = found[1](on) if found else None
        if found is None or where is None or (found[0], where) in rung or len(rung) == MOST_RINGS:
            continue
        rung.add((found[0], where))
        (plan if found[0] == "plan" else section).crayon_loop(where.at, where.wide_px, where.high_px)


def ghost(letter: str, was: FoundationFacts, plan: Drawing, section: Drawing, on: Drawn) -> None:
    """The pad as released, dashed, where the draft's is another; grade and middle stand still."""
    now = on.facts
    east, north = (now.side_ft - was.side_ft) / 2, (now.across_ft - was.across_ft) / 2
    under = now.bottom_ft - was.bottom_ft
    wider = (was.side_ft, was.across_ft, was.outline) != (now.side_ft, now.across_ft, now.outline)
    deeper = (was.side_ft, was.thickness_ft, under) != (now.side_ft, now.thickness_ft, 0.0)
    if wider and was.outline == "circle":
        middle = now.side_ft / 2, now.across_ft / 2
        plan.circle(middle, was.side_ft / 2, weight="thin", dash="hidden", layer=GHOST)
    elif wider and was.outline == "octagon":
        plan.polygon([(x + east, y + north) for x, y in octagon(was.side_ft)], "thin", "hidden", layer=GHOST)
    elif wider:
        plan.rectangle(east, north, was.side_ft, was.across_ft, weight="thin", dash="hidden", layer=GHOST)
    if deeper:
        wide, high = was.side_ft, was.thickness_ft
        section.rectangle(east, under, wide, high, weight="thin", dash="hidden", layer=GHOST)
    if wider or deeper:
        low = min(0.0, now.bottom_ft - (on.figures.frost_ft or 0.0))
        section.text((0, low, 0, -116), f"dashed: as released, {letter}", size=13, layer="note")
