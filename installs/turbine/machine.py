"""The figures of a machine, from the catalogue or from a release: what other parts of the job take."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from installs.jobs.models import DesignRevision, Job
from installs.jobs.reading import read_once
from installs.turbine.curves import points_of
from installs.turbine.models import TurbineDesign
from sitecalc.site.curve import Curve
from sitecalc.site.energy import DensityRule


@dataclass(frozen=True, kw_only=True)
class Machine:
    """Units are in the names; heights are above the yaw flange, "ahead" is toward the wind from the yaw axis.

    None: the maker's papers do not say.
    """

    name: str
    certificate: str
    iec_class: str
    rated_kw: float
    rotor_diameter_ft: float
    blades: int
    speed_low_rpm: float | None
    speed_high_rpm: float | None
    overspeed_rpm: float | None
    cut_in_mph: float | None
    cut_out_mph: float | None
    survival_mph: float | None
    thrust_kip: float | None
    head_weight_lb: float
    rotor_weight_lb: float | None
    center_above_flange_ft: float | None
    center_ahead_ft: float | None
    hub_above_flange_ft: float
    hub_ahead_ft: float
    body_length_ft: float
    body_height_ft: float
    tail_ft: float
    wind_area_ft2: float | None
    output: str
    output_v: float | None
    output_max_a: float | None
    open_circuit_v: float | None
    short_circuit_a: float | None
    output_hz: float | None
    regulates_speed: bool | None
    brake: str
    sound_dba: float | None
    density_rule: DensityRule
    curve: list[dict[str, float]]

    @property
    def points(self) -> Curve:
        return points_of(self.curve)

    @property
    def radius_ft(self) -> float:
        return self.rotor_diameter_ft / 2


def machine_of(figures: Mapping[str, Any] | None) -> Machine | None:
    """From ``TurbineModel.figures()`` or the same frozen in a release; None for none."""
    if figures is None:
        return None
    names = [f.name for f in dataclasses.fields(Machine)]
    return Machine(**{name: figures[name] for name in names})


@dataclass(frozen=True)
class Given:
    """What the turbine's design gives to other parts, and where that stands.

    ``hub_ft`` is the hub above grade; None: not given yet.
    """

    machine: Machine
    hub_ft: float | None
    source: str
    yaw_bolts: int | None = None  # of a draft


@read_once
def turbine_given(job: Job) -> Given | None:
    """The machine and hub height of the job's turbine draft; None while no machine is chosen."""
    design = TurbineDesign.objects.filter(job=job).select_related("model").first()
    if design is None or design.model is None:
        return None
    machine = machine_of(design.model.figures())
    if machine is None:
        return None
    figures = design.figures
    return Given(machine, figures.hub_ft, f"turbine draft, {machine.name}", figures.yaw_bolts)


def released_machine(revision: DesignRevision) -> Given | None:
    """The same of a release; None where it was released without a machine."""
    machine = machine_of(revision.inputs.get("machine"))
    return (
        Given(machine, revision.inputs.get("hub_ft"), f"turbine {revision.letter}, {machine.name}")
        if machine
        else None
    )
