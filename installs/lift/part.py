"""Both lifts as rows of the table of parts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from installs.jobs.drafts import released_figures
from installs.jobs.models import DesignRevision
from installs.jobs.parts import Part, Sheet, Taken, Taking, taken_by_name
from installs.lift.book import strip
from installs.lift.given import given_to, head_given, stands_of, tower_given
from installs.lift.labels import labels
from installs.lift.limits import limits_of
from installs.lift.models import TOWER_LIFT, TURBINE_LIFT, LiftDesign
from installs.lift.review import review
from installs.lift.sheets import card_sheet, plan_sheet
from installs.turbine.machine import released_machine
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.tower.figures import TowerFigures

WORDS = {
    "weight_lb": ("weight", "{:,.0f} lb"),
    "length_ft": ("height", "{:,.4g} ft high"),
    "longest_ft": ("reach", "{:,.4g} ft out from the hook line"),
    "center_ft": ("center", "its center {:,.4g} ft up"),
    "sail_ft2": ("wind area", "{:,.4g} sq ft in the wind"),
    "nuts": ("nuts", "{:g} nuts"),
    "yaw_bolts": ("yaw bolts", "{:g} yaw bolts"),
    "top_ft": ("top", "its top at {:,.4g} ft"),
    "pad_ft": ("pad", "a pad of {:,.4g} ft"),
}
OF_THE_TOWER = ("length_ft", "corners", "nuts", "plumb_in", "weight_lb", "center_ft", "sections")
OF_THE_HEAD = ("weight_lb", "length_ft", "longest_ft", "corners", "center_ft", "sail_ft2", "yaw_bolts")


def given(draft: LiftDesign) -> dict[str, Any]:
    """What tower, turbine and foundation give as of now."""
    return {"given": given_to(draft)}


def _given(inputs: Mapping[str, Any]) -> Mapping[str, Any]:
    return inputs.get("given") or {}


def _taken_tower(inputs: Mapping[str, Any]) -> Taken:
    given = _given(inputs)
    return taken_by_name(given if "nuts" in given else None, inputs, OF_THE_TOWER)


def _offered_tower(revision: DesignRevision) -> dict[str, Any]:
    return tower_given(released_figures(TowerFigures, revision))


def _taken_head(inputs: Mapping[str, Any]) -> Taken:
    given = _given(inputs)
    return taken_by_name(given if "weight_lb" in given else None, inputs, OF_THE_HEAD)


def _offered_head(revision: DesignRevision) -> dict[str, Any]:
    chosen = released_machine(revision)
    return {} if chosen is None else head_given(chosen, revision.inputs.get("yaw_bolts"))


def _taken_stand(inputs: Mapping[str, Any]) -> Taken:
    """The tower that a turbine is set on, from its top down."""
    stands = _given(inputs).get("stands")
    return Taken({} if stands is None else {"stands": stands}, given=stands is not None)


def _offered_stand(revision: DesignRevision) -> dict[str, Any]:
    figures = released_figures(TowerFigures, revision)
    return {"stands": stands_of(figures)} if figures.sections else {}


def _taken_pad(inputs: Mapping[str, Any]) -> Taken:
    """Its side, and its top above grade: what the load is set on, less the tower under a turbine."""
    given = _given(inputs)
    if "pad_ft" not in given:
        return Taken({}, given=False)
    taken = {"pad_ft": given["pad_ft"]}
    if "foot_ft" in given:
        stands = given.get("stands")
        taken["top_ft"] = given["foot_ft"] + (stands[0]["up_ft"] if stands else 0.0)
    return Taken(taken, given=True)


def _offered_pad(revision: DesignRevision) -> dict[str, Any]:
    figures = released_figures(FoundationFigures, revision)
    return {"pad_ft": figures.side_ft, "top_ft": figures.top_above_grade_ft}


def _slings(revision: DesignRevision) -> tuple[str, ...]:
    """By their tags; frozen in words that begin with the tag."""
    words = (revision.inputs.get(name) or "" for name in ("near_sling", "far_sling"))
    return tuple(dict.fromkeys(tag.partition(",")[0] for tag in words if tag))


def _lift(which: str, page: str, menu: str, stands_on: tuple[Taking, ...]) -> Part:
    return Part(
        key=which,
        room="lift",
        title=which.capitalize(),
        page=page,
        menu=menu,
        sheet="L",
        phase=which,
        draft=LiftDesign,
        review=review,
        sheets=(Sheet("card", card_sheet), Sheet("plan", plan_sheet)),
        strip=strip,
        given=given,
        labels=labels,
        stands_on=stands_on,
        subjects={(which, "sling"): _slings},
        limits=limits_of(which),
    )


_PAD = Taking(part="foundation", taken=_taken_pad, offered=_offered_pad, words=WORDS)
TOWER = _lift(
    TOWER_LIFT,
    "lift",
    "Lift",
    (Taking(part="tower", taken=_taken_tower, offered=_offered_tower, words=WORDS), _PAD),
)
TURBINE = _lift(
    TURBINE_LIFT,
    "turbine-lift",
    "",
    (
        Taking(part="turbine", taken=_taken_head, offered=_offered_head, words=WORDS),
        Taking(part="tower", taken=_taken_stand, offered=_offered_stand, words=WORDS),
        _PAD,
    ),
)
