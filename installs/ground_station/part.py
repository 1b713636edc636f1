"""The ground station as a row of the table of parts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from installs.ground_station.book import strip
from installs.ground_station.limits import limits_of
from installs.ground_station.materials import lines
from installs.ground_station.models import FROM_MACHINE, GroundStationDesign
from installs.ground_station.review import review
from installs.ground_station.sheets import equipment, one_line_sheet, wiring_sheet
from installs.jobs.models import DesignRevision
from installs.jobs.parts import Part, Sheet, Taken, Taking, taken_by_name
from installs.turbine.machine import released_machine


def given(draft: GroundStationDesign) -> dict[str, Any]:
    """The machine's figures, so that a release freezes what was checked."""
    return {"machine": draft.machine}


def _taken(inputs: Mapping[str, Any]) -> Taken:
    return taken_by_name(inputs.get("machine"), inputs, tuple(FROM_MACHINE))


def _offered(revision: DesignRevision) -> dict[str, Any]:
    given = released_machine(revision)
    return {} if given is None else {own: getattr(given.machine, of) for own, of in FROM_MACHINE.items()}


PART = Part(
    key="ground_station",
    room="ground_station",
    title="Ground station",
    page="ground-station",
    sheet="E",
    phase="ground station",
    draft=GroundStationDesign,
    review=review,
    sheets=(Sheet("one_line", one_line_sheet), Sheet("wiring", wiring_sheet)),
    equipment=equipment,
    criteria=("edition",),
    materials=lines,
    strip=strip,
    limits=limits_of,
    given=given,
    labels=lambda: {"machine.name": ("Turbine", "")},
    stands_on=(
        Taking(
            part="turbine",
            taken=_taken,
            offered=_offered,
            words={
                "turbine_v": ("voltage", "{:,.4g} V"),
                "turbine_max_a": ("current", "{:,.4g} A"),
                "turbine_open_v": ("open voltage", "{:,.4g} V open"),
                "turbine_short_a": ("braked current", "{:,.4g} A braked"),
                "turbine_kind": ("kind of output", "{}"),
            },
        ),
    ),
)
