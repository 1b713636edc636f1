"""The draft of the ground station: turbine output, inverter, runs, panel, service, grounding."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from django.db import models
from django.utils.functional import cached_property

from installs.jobs.drafts import Draft
from installs.turbine.machine import turbine_given
from sitecalc.figures import read
from sitecalc.ground_station.figures import GroundStationFigures

# figures that the machine's papers state, where this draft leaves them empty
FROM_MACHINE = {
    "turbine_kind": "output",
    "turbine_v": "output_v",
    "turbine_max_a": "output_max_a",
    "turbine_open_v": "open_circuit_v",
    "turbine_short_a": "short_circuit_a",
    "turbine_hz": "output_hz",
    "rotor_diameter_ft": "rotor_diameter_ft",
    "regulates_speed": "regulates_speed",
    "brake": "brake",
}
EMPTY = (None, "", "not known")


class GroundStationDesign(Draft):
    """A figure not given yet by maker or utility stays empty, and what hangs on it is not checked."""

    PART = "ground_station"
    FIGURES = GroundStationFigures

    job = models.OneToOneField("installs.Job", models.PROTECT, related_name="ground_station")

    def __str__(self) -> str:
        return f"ground station of {self.job}"

    @cached_property
    def machine(self) -> dict[str, Any] | None:
        """What the job's machine gives out, by the names of this draft; None while none is chosen."""
        given = turbine_given(self.job)
        if given is None:
            return None
        figures = {own: getattr(given.machine, theirs) for own, theirs in FROM_MACHINE.items()}
        return {"name": given.machine.name, **figures}

    def filled(self) -> GroundStationFigures:
        """The figures, those of the turbine that are left empty being the machine's."""
        return filled(self.figures, self.machine)


def filled(figures: GroundStationFigures, machine: Mapping[str, Any] | None) -> GroundStationFigures:
    """The same, empty figures of the turbine taken from its machine."""
    if machine is None:
        return figures
    return replace(figures, **{n: machine[n] for n in FROM_MACHINE if getattr(figures, n) in EMPTY})


def released_design(inputs: Mapping[str, Any]) -> GroundStationFigures:
    """The design as a release froze it, filled: what papers and lists draw."""
    return filled(read(GroundStationFigures, inputs), inputs.get("machine"))
