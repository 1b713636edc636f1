"""The figures of the ground station: turbine output, inverter, runs, panel, service, grounding."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sitecalc.ground_station.codes import Edition
from sitecalc.ground_station.tables import Conduit, Insulation, Metal, Size, TradeSize
from sitecalc.ground_station.words import (
    BRAKE_WORDS,
    Brake,
    Connection,
    Electrode,
    GridSystem,
    Kind,
    Location,
    Position,
)
from sitecalc.inputs import quantity

SIDES = ("turbine to inverter", "inverter to service")
UNMARKED = "unmarked"


@dataclass(frozen=True, kw_only=True)
class RunRow:
    """One run of conductors."""

    name: str = quantity("", "Name", size=14)
    side: Literal["turbine to inverter", "inverter to service"] = quantity("", "Side")
    origin: str = quantity("", "From", default="", size=12)
    end: str = quantity("", "To", default="", size=12)
    length_ft: float = quantity("ft", "Length one way", low=0.5, high=5000, size=6, of_site=True)
    size: Size = quantity("", "Conductor")
    metal: Metal = quantity("", "Metal")
    insulation: Insulation = quantity("", "Insulation")
    sets: float | None = quantity("", "Parallel sets", low=1, high=6, default=None, size=6, whole=True)
    neutral: Literal["no", "yes"] | Literal[""] = quantity("", "Neutral", default="")
    ground_size: Size | Literal[""] = quantity("", "Equipment ground", default="")
    ground_metal: Metal | Literal[""] = quantity("", "Ground's metal (empty: as the conductor)", default="")
    carrying: float | None = quantity(
        "", "Current-carrying in conduit", low=2, high=60, default=None, size=6, whole=True
    )
    ambient_f: float | None = quantity(
        "F", "Highest ambient", low=-40, high=185, default=None, size=6, of_site=True
    )
    terminals: Literal["unmarked", "60 C", "75 C"] | Literal[""] = quantity(
        "", "Terminals marked", default=""
    )
    conduit: Conduit = quantity("", "Conduit")
    trade_size: TradeSize | Literal[""] = quantity("", "Trade size", default="")
    location: Location = quantity("", "Location")
    cover_in: float | None = quantity("in", "Cover", low=0, high=240, default=None, size=6)
    vertical_ft: float | None = quantity("ft", "Vertical in tower", low=0, high=500, default=None, size=6)
    support_ft: float | None = quantity("ft", "Between supports", low=1, high=500, default=None, size=6)
    breaker_a: float | None = quantity("A", "Breaker", low=1, high=6000, default=None, size=6)
    interrupting_a: float | None = quantity("A", "Interrupting", low=1000, high=300_000, default=None, size=6)
    drop_limit_pct: float | None = quantity("%", "Voltage limit", low=0.1, high=20, default=None, size=6)


@dataclass(frozen=True, kw_only=True)
class DisconnectRow:
    """One disconnect."""

    name: str = quantity("", "Name", size=16)
    rating_a: float = quantity("A", "Rating", low=15, high=4000, size=6)
    withstand_a: float | None = quantity(
        "A", "Short-circuit rating", low=1000, high=300_000, default=None, size=6
    )
    fused: Literal["no", "yes"] | Literal[""] = quantity("", "Fused", default="")
    fuse_a: float | None = quantity("A", "Fuses", low=1, high=6000, default=None, size=6)
    lockable: Literal["no", "yes"] | Literal[""] = quantity("", "Lockable open", default="")
    utility: Literal["no", "yes"] | Literal[""] = quantity("", "For the utility", default="")


@dataclass(frozen=True, kw_only=True)
class GroundStationFigures:
    """A figure not given yet by maker or utility stays empty, and what hangs on it is not checked.

    The turbine's output circuit is by its maximum, not its rated figures; empty ones are those of the job's
    machine.
    """

    edition: Edition = quantity("", "NEC edition", default="2023", balloon=0, of_site=True)
    one_two_family: bool = quantity(
        "", "on a one- or two-family dwelling", default=True, balloon=0, of_site=True
    )
    turbine_kind: Kind | Literal[""] = quantity("", "turbine output", default="", balloon=1)
    turbine_v: float | None = quantity(
        "V", "voltage at maximum output", low=12, high=1000, default=None, balloon=1
    )
    turbine_max_a: float | None = quantity(
        "A",
        "maximum output current",
        low=0.1,
        high=2000,
        default=None,
        help="At maximum output power, from the maker; not the rated current.",
        balloon=1,
    )
    turbine_open_v: float | None = quantity(
        "V",
        "open-circuit voltage, highest speed",
        low=12,
        high=5000,
        default=None,
        help="With the circuit open at the highest speed.",
        balloon=1,
    )
    turbine_short_a: float | None = quantity(
        "A",
        "lasting short-circuit current, braked",
        low=0,
        high=5000,
        default=None,
        help="What flows as long as the brake switch is closed.",
        balloon=1,
    )
    turbine_hz: float | None = quantity(
        "Hz", "frequency at maximum output", low=1, high=400, default=None, balloon=1
    )
    turbine_pf: float = quantity(
        "", "power factor of the rectifier's input", low=0.1, high=1, default=0.9, balloon=1
    )
    rotor_diameter_ft: float | None = quantity(
        "ft", "rotor diameter", low=1, high=300, default=None, balloon=1
    )
    regulates_speed: bool | None = quantity(
        "",
        "rotor speed depends on the output circuit",
        default=None,
        help="If yes, opening the circuit may let the rotor run away.",
        balloon=1,
    )
    brake: Brake = quantity(
        "", "stopping means without the grid", default="not known", choices=BRAKE_WORDS, balloon=2
    )
    turbine_disconnect: bool = quantity(
        "", "disconnect in the turbine output circuit", default=False, balloon=3
    )
    disconnect_accepted: bool = quantity(
        "", "maker's written word that it may be opened", default=False, balloon=3
    )
    tower_grounded: bool | None = quantity(
        "", "tower has its own electrodes, bonded", default=None, balloon=1
    )
    shutdown_button: bool = quantity("", "manual shutdown button", default=False, balloon=2)
    rectifier: str = quantity("", "rectifier or controller", default="", most=60, balloon=4)
    input_max_v: float | None = quantity(
        "V", "its highest input voltage", low=12, high=5000, default=None, balloon=4
    )
    insulation_v: float = quantity(
        "V", "conductor insulation rated", low=300, high=2000, default=600.0, balloon=4
    )
    inverter: str = quantity("", "inverter", default="", most=60, label="Inverter, make and type", balloon=5)
    inverter_listed: bool | None = quantity("", "listed as interactive, UL 1741", default=None, balloon=5)
    inverter_system: GridSystem = quantity("", "inverter output", default="1-phase", balloon=5)
    inverter_v: float = quantity("V", "inverter output voltage", low=100, high=1000, default=240.0, balloon=5)
    inverter_a: float | None = quantity(
        "A", "continuous output current", low=0.5, high=2000, default=None, balloon=5
    )
    inverter_fault_a: float | None = quantity(
        "A",
        "inverter's largest fault current",
        low=0,
        high=20_000,
        default=None,
        help="From its data sheet.",
        balloon=5,
    )
    backfeed_a: float | None = quantity(
        "A",
        "current it can send back to the turbine",
        low=0,
        high=5000,
        default=None,
        help="From its data sheet; 0 if it cannot.",
        balloon=5,
    )
    runs: tuple[RunRow, ...] = quantity("", "runs of conductors", default=(), blank_rows=1, balloon=12)
    disconnects: tuple[DisconnectRow, ...] = quantity("", "disconnects", default=(), blank_rows=1, balloon=13)
    production_meter: bool = quantity("", "production meter", default=True, balloon=7)
    connection: Connection = quantity("", "connection", default="load side", balloon=8, of_site=True)
    panel_bus_a: float | None = quantity(
        "A", "panel busbar", low=30, high=4000, default=None, balloon=8, of_site=True
    )
    panel_main_a: float | None = quantity(
        "A", "panel main breaker", low=15, high=4000, default=None, balloon=8, of_site=True
    )
    main_interrupting_a: float | None = quantity(
        "A", "main's interrupting rating", low=1000, high=300_000, default=None, balloon=8, of_site=True
    )
    breaker_position: Position = quantity(
        "", "inverter's breaker on the bus", default="not known", balloon=8, of_site=True
    )
    breakers_sum_a: float | None = quantity(
        "A",
        "all breakers without the main",
        low=0,
        high=20_000,
        default=None,
        help="Loads and sources, for the sum rule.",
        balloon=8,
        of_site=True,
    )
    service_a: float | None = quantity(
        "A",
        "rating of the service",
        low=30,
        high=4000,
        default=None,
        help="Needed for a supply-side connection.",
        balloon=8,
        of_site=True,
    )
    tap_ft: float | None = quantity(
        "ft", "supply-side tap to its device", low=0, high=1000, default=None, balloon=8, of_site=True
    )
    surge: Literal["not known", "none", "Type 1", "Type 2", "Type 3", "Type 1 and 2"] = quantity(
        "", "surge protective device", default="not known", balloon=6
    )
    service_kva: float | None = quantity(
        "kVA",
        "utility transformer",
        low=1,
        high=5000,
        default=None,
        help="Ask the utility.",
        balloon=11,
        of_site=True,
    )
    service_z_pct: float | None = quantity(
        "%", "its impedance", low=0.5, high=15, default=None, balloon=11, of_site=True
    )
    service_x_over_r: float | None = quantity(
        "", "its X/R", low=0.1, high=50, default=None, balloon=11, of_site=True
    )
    service_ft: float = quantity(
        "ft", "service conductors, one way", low=0, high=2000, default=0.0, balloon=10, of_site=True
    )
    service_size: Size = quantity("", "service conductor", default="4/0", balloon=10, of_site=True)
    service_metal: Metal = quantity(
        "", "service conductor metal", default="aluminum", balloon=10, of_site=True
    )
    service_sets: int = quantity(
        "", "its parallel sets", low=1, high=10, default=1, counted="sets", balloon=10, of_site=True
    )
    service_high_pct: float = quantity(
        "%",
        "highest service voltage",
        low=90,
        high=115,
        default=105.0,
        help="Of nominal; 105 is the top of range A.",
        balloon=10,
    )
    rise_limit_pct: float = quantity(
        "%", "rise allowed, inverter to service", low=0.1, high=20, default=2.0, balloon=10
    )
    electrode: Electrode = quantity("", "grounding electrode", default="rods", balloon=9)
    electrode_size: Size = quantity("", "grounding electrode conductor", default="6", balloon=9)
    rods: int = quantity("", "ground rods", low=0, high=40, default=2, counted="rods", balloon=9)
    rod_length_ft: float = quantity("ft", "rod length", low=1, high=40, default=8.0, balloon=9)
    rod_spacing_ft: float = quantity("ft", "between rods", low=0, high=100, default=8.0, balloon=9)
    electrode_ft: float = quantity("ft", "length of ring or bar", low=0, high=1000, default=0.0, balloon=9)
    electrode_ohm: float | None = quantity(
        "ohm", "measured to earth", low=0, high=10_000, default=None, balloon=9, of_site=True
    )
