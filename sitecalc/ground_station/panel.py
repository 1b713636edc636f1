"""Where the turbine's inverter meets the premises: the panel's busbar, or the supply side of the service."""

from __future__ import annotations

from dataclasses import dataclass

from sitecalc.cases import ranged_as, same_as
from sitecalc.checks import Check, Known, Rule, Step
from sitecalc.formula import Formula, looked_up
from sitecalc.inputs import InputError, quantity, require_valid

from .codes import CodeRule, Edition
from .figures import GroundStationFigures, RunRow
from .words import Connection, Position

SUPPLY_TAP_FT = 10.0
SUM_OF_BREAKERS = "sum of breakers without the main"

BUSBAR = CodeRule("panel-bus", "Panel busbar", "A", "", Known.READ, ("busbar",))
SUPPLY_SUM = CodeRule("supply-sum", "Supply-side connection", "A", "", Known.READ, ("supply side",))
SUPPLY_TAP = CodeRule("supply-tap", "Length of the tap", "ft", "", Known.READ, ("supply side",))

INVERTERS = Formula("I_125", "125 % of the inverters' continuous output", "1.25*sum(I)", "A")
WITH_MAIN = Formula("I_bus", "with the main", "I_125+I_main", "A", {"I_main": "main"})
OVER_BUS = Formula("A_max", "120 % of the bus", "1.2*bus", "A")


@dataclass(frozen=True, kw_only=True)
class PanelCase:
    """A panel with its main and the inverters that feed it."""

    edition: Edition = same_as(GroundStationFigures, "edition", required=True)
    connection: Connection = same_as(GroundStationFigures, "connection", required=True)
    bus_a: float = same_as(GroundStationFigures, "panel_bus_a", required=True)
    main_a: float = same_as(GroundStationFigures, "panel_main_a", required=True)
    inverters_a: tuple[float, ...] = quantity("A", "continuous output of each inverter", low=0, high=2000)
    position: Position = same_as(GroundStationFigures, "breaker_position")
    breakers_sum_a: float | None = same_as(GroundStationFigures, "breakers_sum_a")
    dwelling: bool = same_as(GroundStationFigures, "one_two_family", required=True)
    service_a: float | None = same_as(GroundStationFigures, "service_a")
    source_breakers_a: float | None = ranged_as(
        RunRow, "breaker_a", "sum of the sources' breakers", default=None, shown_at="runs"
    )
    tap_ft: float | None = same_as(GroundStationFigures, "tap_ft")


@dataclass(frozen=True, kw_only=True)
class Way:
    """One way to show that a busbar is large enough; any one of them is enough."""

    name: str
    demand_a: float
    capacity_a: float
    open: bool

    @property
    def passes(self) -> bool:
        return self.open and self.demand_a <= self.capacity_a * (1 + 1e-9)


def inverters_125_a(case: PanelCase) -> float:
    """125 % of what the inverters give out continuously, A. NEC 705.12(B)."""
    return INVERTERS.value(I=case.inverters_a)


def _with_main(case: PanelCase) -> Step:
    return WITH_MAIN.step(I_125=inverters_125_a(case), I_main=case.main_a)


def busbar_ways(case: PanelCase) -> list[Way]:
    """Ways to show a busbar large enough, each with demand and capacity in A.

    Sum to 100 %, sum to 120 % with the source at the far end, sum of breakers, center-fed in a dwelling.
    125 % of the inverters' current counts, not their breakers. NEC 705.12(B).
    """
    asked, over = _with_main(case).value, OVER_BUS.value(bus=case.bus_a)
    ways = [
        Way(name="100 % of the bus", demand_a=asked, capacity_a=case.bus_a, open=True),
        Way(
            name="120 % of the bus, inverter at the opposite end",
            demand_a=asked,
            capacity_a=over,
            open=case.position == "opposite end from main",
        ),
        Way(
            name="120 % of a center-fed bus, inverter at one end",
            demand_a=asked,
            capacity_a=over,
            open=case.position == "center-fed, one end" and case.dwelling,
        ),
    ]
    if case.breakers_sum_a is not None:
        ways.append(
            Way(
                name=SUM_OF_BREAKERS,
                demand_a=case.breakers_sum_a,
                capacity_a=case.bus_a,
                open=True,
            )
        )
    return ways


def carrying_way(case: PanelCase) -> Way:
    """The way by which the busbar is judged: of those that stand open, the one with the most room."""
    return min((w for w in busbar_ways(case) if w.open), key=lambda w: w.demand_a / w.capacity_a)


def panel_checks(case: PanelCase) -> list[Check]:
    """The panel's busbar in A; one on the supply side is checked against the service instead.

    InputError for no inverter. NEC 705.12(B), 705.11.
    """
    require_valid(case)
    if not case.inverters_a:
        raise InputError("inverters_a", "is empty; at least one inverter.")
    return _supply_side(case) if case.connection == "supply side" else [_busbar(case)]


def _busbar(case: PanelCase) -> Check:
    ways = busbar_ways(case)
    best = carrying_way(case)
    asked, rule = _with_main(case), BUSBAR.of(case.edition)
    if not best.passes and case.position == "not known" and asked.value <= OVER_BUS.value(bus=case.bus_a):
        return rule.open(
            f"{best.demand_a:.4g} A is over {best.capacity_a:g} A ({best.name}); it would pass "
            "120 % with the inverter's breaker at the opposite end from the main. Say where it is."
        )
    label = "; a label keeps the breaker there" if "120 %" in best.name else ""
    return rule.compare(
        demand=best.demand_a,
        capacity=best.capacity_a,
        case=best.name,
        note=f"{best.demand_a:.4g} of {best.capacity_a:g} A by {best.name}{label}.",
        steps=(
            INVERTERS.step(I=case.inverters_a),
            asked,
            *(_limit(way, case) for way in ways if way.open),
        ),
    )


def _limit(way: Way, case: PanelCase) -> Step:
    if way.name.startswith("120 %"):
        return OVER_BUS.step_of(way.name, bus=case.bus_a)
    return looked_up("A_max", way.name, "rating of the busbar", "as marked", way.capacity_a, "A")


def _sum_of_sources(case: PanelCase, rule: Rule) -> Check:
    if case.service_a is None:
        return rule.open("rating of the service is not given.")
    if case.source_breakers_a is None:
        return rule.open("sum of the sources' breakers is not given.")
    return rule.compare(
        demand=case.source_breakers_a,
        capacity=case.service_a,
        note=f"sources' breakers {case.source_breakers_a:g} of {case.service_a:g} A service.",
    )


def _supply_side(case: PanelCase) -> list[Check]:
    total, tap = SUPPLY_SUM.of(case.edition), SUPPLY_TAP.of(case.edition)
    return [
        _sum_of_sources(case, total),
        tap.open("distance from the tap to its overcurrent device is not given.")
        if case.tap_ft is None
        else tap.compare(
            demand=case.tap_ft,
            capacity=SUPPLY_TAP_FT,
            note=f"{case.tap_ft:g} of {SUPPLY_TAP_FT:g} ft; longer only with limiters at the tap.",
        ),
    ]


@dataclass(frozen=True)
class PanelResult:
    ways: tuple[Way, ...]
    checks: tuple[Check, ...]


def check_panel(case: PanelCase) -> PanelResult:
    """Every way the busbar rule leaves open, in A, and the check of the best: as of :func:`panel_checks`."""
    checks = tuple(panel_checks(case))
    return PanelResult(tuple(busbar_ways(case)), checks)
