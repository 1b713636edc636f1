"""The draft of the ground station: turbine output, inverter, runs, panel, service, grounding."""

from __future__ import annotations

from collections.abc import Mapping
from copy import copy
from typing import Any

from django.db import models
from django.utils.functional import cached_property

from installs.jobs.drafts import Draft
from installs.measures import Quantity, WithinRange
from installs.turbine.machine import turbine_given
from sitecalc.ground_station.tables import SIZES


def words(*choices: str) -> list[tuple[str, str]]:
    return [(choice, choice) for choice in choices]


SYSTEMS = words("1-phase", "3-phase")
METALS = words("copper", "aluminum")
KINDS = words("wild AC, 3-phase", "DC", "grid AC, 1-phase", "grid AC, 3-phase")
BRAKES = words("not known", "short-circuit switch", "mechanical brake", "pitch or furling", "two of these")
POSITIONS = words("not known", "opposite end from main", "center-fed, one end", "elsewhere")
ELECTRODES = words("rods", "ground ring", "concrete-encased")
SURGE_TYPES = words("not known", "none", "Type 1", "Type 2", "Type 3", "Type 1 and 2")


def volts(verbose: str, low: float = 12, high: float = 1000, **kwargs: Any) -> Quantity:
    return Quantity(verbose, unit="V", low=low, high=high, **kwargs)


def amps(verbose: str, low: float = 0.1, high: float = 2000, **kwargs: Any) -> Quantity:
    return Quantity(verbose, unit="A", low=low, high=high, **kwargs)


def choice(verbose: str, choices: list[tuple[str, str]], default: str) -> models.CharField[str, str]:
    return models.CharField(verbose, max_length=40, choices=choices, default=default)


UNKNOWN: dict[str, Any] = {"null": True, "blank": True}

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

    job = models.OneToOneField("installs.Job", models.PROTECT, related_name="ground_station")

    edition = choice("NEC edition", words("2017", "2020", "2023", "2026"), "2023")
    one_two_family = models.BooleanField("on a one- or two-family dwelling", default=True)

    # turbine output circuit: maximum, not rated; empty figures are those of the job's machine
    turbine_kind = models.CharField("turbine gives", max_length=40, choices=KINDS, blank=True, default="")
    turbine_v = volts("voltage at maximum output", **UNKNOWN)
    turbine_max_a = amps("maximum output current", **UNKNOWN)
    turbine_open_v = volts("open-circuit voltage, highest speed", high=5000, **UNKNOWN)
    turbine_short_a = amps("lasting short-circuit current, braked", low=0, high=5000, **UNKNOWN)
    turbine_hz = Quantity("frequency at maximum output", unit="Hz", low=1, high=400, **UNKNOWN)
    turbine_pf = Quantity("power factor of the rectifier's input", low=0.1, high=1, default=0.9)
    rotor_diameter_ft = Quantity("rotor diameter", unit="ft", low=1, high=300, **UNKNOWN)
    regulates_speed = models.BooleanField("output circuit holds the rotor's speed", null=True, blank=True)
    brake = choice("stops the rotor without the grid", BRAKES, "not known")
    turbine_disconnect = models.BooleanField("disconnect in the turbine output circuit", default=False)
    disconnect_accepted = models.BooleanField("maker's written word that it may be opened", default=False)
    tower_grounded = models.BooleanField("tower has its own electrodes, bonded", null=True, blank=True)
    shutdown_button = models.BooleanField("manual shutdown button", default=False)

    rectifier = models.CharField("rectifier or controller", max_length=60, blank=True)
    input_max_v = volts("its highest input voltage", high=5000, **UNKNOWN)
    insulation_v = volts("conductor insulation rated", low=300, high=2000, default=600)

    inverter = models.CharField("inverter", max_length=60, blank=True)
    inverter_listed = models.BooleanField("listed as interactive, UL 1741", null=True, blank=True)
    inverter_system = choice("inverter output", SYSTEMS, "1-phase")
    inverter_v = volts("inverter output voltage", low=100, default=240)
    inverter_a = amps("continuous output current", low=0.5, **UNKNOWN)
    inverter_fault_a = amps("inverter's largest fault current", low=0, high=20000, **UNKNOWN)

    backfeed_a = amps("current it can send back to the turbine", low=0, high=5000, **UNKNOWN)

    runs = models.JSONField("runs of conductors", default=list, blank=True)
    disconnects = models.JSONField("disconnects", default=list, blank=True)

    production_meter = models.BooleanField("production meter", default=True)

    connection = choice("connection", words("load side", "supply side"), "load side")
    panel_bus_a = amps("panel busbar", low=30, high=4000, **UNKNOWN)
    panel_main_a = amps("panel main breaker", low=15, high=4000, **UNKNOWN)
    main_interrupting_a = amps("main's interrupting rating", low=1000, high=300000, **UNKNOWN)
    breaker_position = choice("inverter's breaker on the bus", POSITIONS, "not known")
    breakers_sum_a = amps("all breakers without the main", low=0, high=20000, **UNKNOWN)
    tap_ft = Quantity("supply-side tap to its device", unit="ft", low=0, high=1000, **UNKNOWN)
    surge = choice("surge protective device", SURGE_TYPES, "not known")

    service_kva = Quantity("utility transformer", unit="kVA", low=1, high=5000, **UNKNOWN)
    service_z_pct = Quantity("its impedance", unit="%", low=0.5, high=15, **UNKNOWN)
    service_x_over_r = Quantity("its X/R", low=0.1, high=50, **UNKNOWN)
    service_ft = Quantity("service conductors, one way", unit="ft", low=0, high=2000, default=0)
    service_size = choice("service conductor", words(*SIZES), "4/0")
    service_metal = choice("service conductor metal", METALS, "aluminum")
    service_sets = models.PositiveSmallIntegerField(
        "its parallel sets", default=1, validators=[WithinRange(1, 10, "sets")]
    )
    service_high_pct = Quantity("highest service voltage", unit="%", low=90, high=115, default=105)
    rise_limit_pct = Quantity("rise allowed, inverter to service", unit="%", low=0.1, high=20, default=2)

    electrode = choice("grounding electrode", ELECTRODES, "rods")
    electrode_size = choice("grounding electrode conductor", words(*SIZES), "6")
    rods = models.PositiveSmallIntegerField("ground rods", default=2, validators=[WithinRange(0, 40, "rods")])
    rod_length_ft = Quantity("rod length", unit="ft", low=1, high=40, default=8)
    rod_spacing_ft = Quantity("between rods", unit="ft", low=0, high=100, default=8)
    electrode_ft = Quantity("length of ring or bar", unit="ft", low=0, high=1000, default=0)
    electrode_ohm = Quantity("measured to earth", unit="ohm", low=0, high=10000, **UNKNOWN)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(service_sets__gte=1) & models.Q(service_sets__lte=10),
                name="groundstationdesign_service_sets",
            ),
            models.CheckConstraint(condition=models.Q(rods__lte=40), name="groundstationdesign_rods"),
        ]

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

    def inputs(self) -> dict[str, Any]:
        """With the machine's figures, so that a release freezes what was checked."""
        return {**super().inputs(), "machine": self.machine}

    def filled(self) -> GroundStationDesign:
        """A copy whose empty figures of the turbine are the machine's."""
        full = copy(self)
        for name in FROM_MACHINE:
            if self.machine and getattr(self, name) in EMPTY:
                setattr(full, name, self.machine[name])
        return full


def design_of(inputs: Mapping[str, Any]) -> GroundStationDesign:
    """The design as a release froze it, filled and not saved: what papers and lists draw."""
    columns = {field.name for field in GroundStationDesign._meta.concrete_fields}
    known = columns - {"id", "job", "changed_by"}
    design = GroundStationDesign(**{name: value for name, value in inputs.items() if name in known})
    design.machine = inputs.get("machine")
    return design.filled()
