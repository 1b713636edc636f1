"""Where the turbine's inverter meets the premises: the panel's busbar, or the supply side of the service."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from sitecalc.checks import Check, Step, compare, not_checked
from sitecalc.inputs import InputError, quantity, require_valid

from .ampacity import CONTINUOUS
from .codes import Edition, by

Position = Literal["opposite end from main", "center-fed, one end", "elsewhere", "not known"]
SUPPLY_TAP_FT = 10.0


@dataclass(frozen=True)
class PanelCase:
    """A panel with its main and the inverters that feed it."""

    edition: Edition = quantity("", "edition of the NEC")
    connection: Literal["load side", "supply side"] = quantity("", "of the service disconnect")
    bus_a: float = quantity("A", "busbar rating", low=30, high=4000)
    main_a: float = quantity("A", "main breaker", low=15, high=4000)
    inverters_a: tuple[float, ...] = quantity("A", "continuous output of each inverter", low=0, high=2000)
    position: Position = quantity("", "of the inverter's breaker on the bus", default="not known")
    breakers_sum_a: float | None = quantity(
        "A", "all breakers of loads and sources without the main", low=0, high=20000, default=None
    )
    dwelling: bool = quantity("", "panel of a dwelling", default=False)
    service_a: float | None = quantity("A", "rating of the service", low=30, high=4000, default=None)
    source_breakers_a: float | None = quantity(
        "A", "sum of the sources' breakers", low=0, high=4000, default=None
    )
    tap_ft: float | None = quantity(
        "ft", "from the tap to its overcurrent device", low=0, high=1000, default=None
    )


@dataclass(frozen=True)
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
    return CONTINUOUS * math.fsum(case.inverters_a)


def busbar_ways(case: PanelCase) -> list[Way]:
    """Sum to 100 %, sum to 120 % with the source at the far end, sum of breakers, center-fed in a dwelling.

    125 % of the inverters' current counts, not their breakers. NEC 705.12(B).
    """
    asked = inverters_125_a(case) + case.main_a
    ways = [
        Way("100 % of the bus", asked, case.bus_a, True),
        Way(
            "120 % of the bus, inverter at the opposite end",
            asked,
            1.2 * case.bus_a,
            case.position == "opposite end from main",
        ),
        Way(
            "120 % of a center-fed bus, inverter at one end",
            asked,
            1.2 * case.bus_a,
            case.position == "center-fed, one end" and case.dwelling,
        ),
    ]
    if case.breakers_sum_a is not None:
        ways.append(Way("sum of breakers without the main", case.breakers_sum_a, case.bus_a, True))
    return ways


def panel_checks(case: PanelCase) -> list[Check]:
    """InputError for no inverter. A panel on the supply side is checked against the service instead."""
    require_valid(case)
    if not case.inverters_a:
        raise InputError("inverters_a", "is empty; at least one inverter.")
    return _supply_side(case) if case.connection == "supply side" else [_busbar(case)]


def _busbar(case: PanelCase) -> Check:
    ways = busbar_ways(case)
    best = min((w for w in ways if w.open), key=lambda w: w.demand_a / w.capacity_a)
    asked = inverters_125_a(case) + case.main_a
    sourced, key, title = by(case.edition, "busbar"), "panel-bus", "Panel busbar"
    if not best.passes and case.position == "not known" and asked <= 1.2 * case.bus_a:
        why = (
            f"{best.demand_a:.4g} A is over {best.capacity_a:g} A ({best.name}); it would pass "
            "120 % with the inverter's breaker at the opposite end from the main. Say where it is."
        )
        return not_checked(key, title, why, **sourced, unit="A")
    label = "; a label keeps the breaker there" if "120 %" in best.name else ""
    return compare(
        key,
        title,
        demand=best.demand_a,
        capacity=best.capacity_a,
        unit="A",
        case=best.name,
        note=f"{best.demand_a:.4g} of {best.capacity_a:g} A by {best.name}{label}.",
        **sourced,
        steps=(
            Step(
                "I_125",
                "125 % of the inverters' continuous output",
                "I_125 = 1.25 (I1 + I2 + ...)",
                f"1.25 x ({' + '.join(f'{a:.4g}' for a in case.inverters_a)})",
                inverters_125_a(case),
                "A",
            ),
            Step(
                "I_bus",
                "with the main",
                "I_bus = I_125 + main",
                f"{inverters_125_a(case):.4g} + {case.main_a:g}",
                asked,
                "A",
            ),
            *(Step("A_max", w.name, "limit", "", w.capacity_a, "A") for w in ways if w.open),
        ),
    )


def _supply_side(case: PanelCase) -> list[Check]:
    sourced, title = by(case.edition, "supply side"), "Supply-side connection"
    rating = case.service_a if case.service_a is not None else case.main_a
    if case.source_breakers_a is None:
        total = not_checked(
            "supply-sum",
            title,
            "sum of the sources' breakers is not given.",
            **sourced,
        )
    else:
        total = compare(
            "supply-sum",
            title,
            demand=case.source_breakers_a,
            capacity=rating,
            unit="A",
            note=f"sources' breakers {case.source_breakers_a:g} of {rating:g} A service.",
            **sourced,
        )
    if case.tap_ft is None:
        tap = not_checked(
            "supply-tap",
            "Length of the tap",
            "distance from the tap to its overcurrent device is not given.",
            **sourced,
            unit="ft",
        )
    else:
        tap = compare(
            "supply-tap",
            "Length of the tap",
            demand=case.tap_ft,
            capacity=SUPPLY_TAP_FT,
            unit="ft",
            note=f"{case.tap_ft:g} of {SUPPLY_TAP_FT:g} ft; longer only with limiters at the tap.",
            **sourced,
        )
    return [total, tap]


@dataclass(frozen=True)
class PanelResult:
    ways: tuple[Way, ...]
    checks: tuple[Check, ...]


def check_panel(case: PanelCase) -> PanelResult:
    """The calculation ``ground_station.panel``."""
    checks = tuple(panel_checks(case))
    return PanelResult(tuple(busbar_ways(case)), checks)
