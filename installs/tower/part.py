"""The tower as a row of the table of parts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from installs.jobs.models import DesignRevision
from installs.jobs.parts import ByHand, Part, Sheet, Taken, Taking
from installs.tower.book import strip
from installs.tower.by_hand import TORQUE, torque_pages, torque_sheets
from installs.tower.facts import Head
from installs.tower.head import head_given, head_of
from installs.tower.materials import lines
from installs.tower.models import TowerDesign
from installs.tower.review import review
from installs.tower.sheets import equipment, torque_log_sheet, tower_sheet
from installs.tower.torque_log import CHECK_CODE, PASS_CODES
from installs.turbine.machine import released_machine

OF_THE_HEAD = tuple(f.name for f in fields(Head) if f.name != "source")


def given(draft: TowerDesign) -> dict[str, Any]:
    """The head as the turbine's draft states it."""
    head = head_of(draft.job)
    return {"head": head.as_json() if head else None}


def _taken(inputs: Mapping[str, Any]) -> Taken:
    head = inputs.get("head")
    if head is None:
        return Taken({}, given=False)
    return Taken({name: head[name] for name in OF_THE_HEAD if name in head}, given=True)


def _offered(revision: DesignRevision) -> dict[str, Any]:
    given = released_machine(revision)
    return {} if given is None else head_given(given).as_json()


def _joints(revision: DesignRevision) -> tuple[str, ...]:
    return tuple(f"joint {joint['number']}" for joint in revision.results.get("joints") or ())


# what a release keeps of the turbine's head
HEAD: dict[str, tuple[str, str] | None] = {
    "head.weight_lb": ("Head, weight", "lb"),
    "head.blades": ("Head, blades", ""),
    "head.rotor_diameter_ft": ("Head, rotor diameter", "ft"),
    "head.hub_above_top_ft": ("Head, hub above the tower's top", "ft"),
    "head.center_above_top_ft": ("Head, center of gravity above the tower's top", "ft"),
    "head.speed_low_rpm": ("Rotor, lowest speed of steady operation", "rpm"),
    "head.speed_high_rpm": ("Rotor, highest speed of steady operation", "rpm"),
    "head.overspeed_rpm": ("Rotor, overspeed shutdown", "rpm"),
    "head.hub_ft": ("Hub above grade", "ft"),
    "head.thrust_kip": ("Rotor, greatest thrust", "kip"),
    "head.source": ("Head and rotor taken from", ""),
}

PART = Part(
    key="tower",
    room="tower",
    title="Tower",
    page="tower",
    sheet="T",
    phase="tower assembly",
    draft=TowerDesign,
    review=review,
    sheets=(Sheet("tower", tower_sheet),),
    records=(Sheet("torque_log", torque_log_sheet), Sheet("torque_sheets", torque_sheets)),
    equipment=equipment,
    criteria=("risk_category", "wind_mph", "exposure"),
    materials=lines,
    strip=strip,
    given=given,
    labels=lambda: HEAD,
    subjects={("tower assembly", "joint"): _joints},
    by_hand={
        "assembly": ByHand(
            title=TORQUE,
            sheets=torque_pages,
            codes=(*PASS_CODES, CHECK_CODE),
            key_page="torque-key-in",
        )
    },
    stands_on=(
        Taking(
            part="turbine",
            taken=_taken,
            offered=_offered,
            words={
                "weight_lb": ("weight", "a head of {:,.0f} lb"),
                "hub_ft": ("hub height", "hub at {:,.4g} ft"),
                "rotor_diameter_ft": ("rotor", "rotor of {:,.4g} ft"),
                "speed_high_rpm": ("highest speed", "{:,.4g} rpm"),
                "thrust_kip": ("thrust", "thrust of {:,.4g} kip"),
            },
        ),
    ),
)
