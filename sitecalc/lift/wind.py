"""Wind on the load: the gust at which the lift stops, what a forecast means at the tip, drift of the radius.

Gusts are 3-second gusts at the boom tip in mph; forecasts are 10-minute means at 33 ft.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from sitecalc.checks import Check, Known, Step, compare, readable
from sitecalc.inputs import InputError, quantity, require_valid

FT2_PER_M2 = 1 / 0.3048**2
LB_PER_TONNE = 1000 / 0.45359237
# what a load chart allows for: 1.2 square meters of drag area for each tonne on the hook
CHART_AREA_FT2_PER_LB = 1.2 * FT2_PER_M2 / LB_PER_TONNE
SAIL = (
    "Crane maker's training text, Influence of wind on crane operation; rough-terrain crane manual, "
    "fig. 2-1: 0.0059 ft2/lb"
)
GUST = "v10 = v / ((z / 33 ft)^0.14 + 0.4)"
PRESSURE = "F = 0.00256 V^2 A (ASCE 7, from memory)"


@dataclass(frozen=True, kw_only=True)
class WindCase:
    chart_gust_mph: float = quantity("mph", "gust the load chart allows", low=5, high=45)
    hook_lb: float = quantity("lb", "on the hook: item, rigging and block", low=1, high=1_000_000)
    sail_ft2: float = quantity("ft2", "area of the load the wind sees", low=0, high=20_000)
    drag: float = quantity("", "drag factor on that area", low=0.3, high=4, default=2.0)
    tip_ft: float = quantity("ft", "boom tip above grade", low=5, high=600)
    rope_ft: float = quantity("ft", "boom tip down to the load's middle", low=0, high=600)
    stop_gust_mph: float | None = quantity(
        "mph", "gust at which the crew stops", low=3, high=45, default=None
    )


@dataclass(frozen=True)
class WindResult:
    """``stop_gust_mph``: where the lift stops; ``forecast_mph``: the mean at 33 ft that brings it."""

    limit_gust_mph: float
    stop_gust_mph: float
    forecast_mph: float
    force_lb: float
    drift_ft: float
    checks: tuple[Check, ...]


def gust_limit_mph(chart_gust_mph: float, hook_lb: float, drag_area_ft2: float) -> float:
    """The chart's gust, brought down for a load with much area for its weight; never above the chart's."""
    if drag_area_ft2 <= 0:
        return chart_gust_mph
    return chart_gust_mph * min(1.0, math.sqrt(CHART_AREA_FT2_PER_LB * hook_lb / drag_area_ft2))


def gust_at_height_mph(mean_mph: float, height_ft: float) -> float:
    """3-second gust at a height, from the 10-minute mean at 33 ft (10 m)."""
    return (math.pow(height_ft * 0.3048 / 10, 0.14) + 0.4) * mean_mph


def wind_force_lb(gust_mph: float, drag_area_ft2: float) -> float:
    return float(0.00256 * gust_mph**2 * drag_area_ft2)


def drift_ft(force_lb: float, hook_lb: float, rope_ft: float) -> float:
    """How far the wind carries the load out: rope times the tangent of its lean."""
    return rope_ft * force_lb / hook_lb


def wind_on_load(case: WindCase) -> WindResult:
    """Gust limit, drift at the gust where the crew stops, and the forecast that brings that gust."""
    require_valid(case)
    area = case.sail_ft2 * case.drag
    limit = gust_limit_mph(case.chart_gust_mph, case.hook_lb, area)
    # rounded down: a limit is never rounded in the crew's favor
    stop = case.stop_gust_mph if case.stop_gust_mph is not None else float(math.floor(limit + 1e-9))
    if stop < 3:
        raise InputError("sail_ft2", f"leaves a gust limit of {limit:.1f} mph; no day is that still.")
    force = wind_force_lb(stop, area)
    drift = drift_ft(force, case.hook_lb, case.rope_ft)
    forecast = stop / gust_at_height_mph(1.0, case.tip_ft)
    result = WindResult(limit, stop, forecast, force, drift, ())
    return replace(result, checks=(_wind_check(case, area, result),))


def _wind_check(case: WindCase, area: float, found: WindResult) -> Check:
    limit, stop = found.limit_gust_mph, found.stop_gust_mph
    steps = (
        Step(
            "v",
            "gust the load allows",
            "v = v_chart sqrt(0.00586 W / A), at most v_chart",
            f"{case.chart_gust_mph:g} sqrt(0.00586 x {case.hook_lb:,.0f} / {area:.0f})",
            limit,
            "mph",
        ),
        Step(
            "v10",
            "forecast mean at 33 ft that brings the gust where we stop",
            GUST,
            f"z = {case.tip_ft:.0f} ft",
            found.forecast_mph,
            "mph",
        ),
        Step("F", "wind on the load", PRESSURE, f"0.00256 x {stop:g}^2 x {area:.0f}", found.force_lb, "lb"),
        Step(
            "x",
            "the load drifts out",
            "x = rope F / W",
            f"{case.rope_ft:.0f} x {found.force_lb:.0f} / {case.hook_lb:,.0f}",
            found.drift_ft,
            "ft",
        ),
    )
    return compare(
        "wind",
        "Wind",
        demand=stop,
        capacity=limit,
        unit="mph",
        note=f"Stop at {readable(stop)} mph gust at the tip; this load allows {readable(limit)}, the chart "
        f"{readable(case.chart_gust_mph)}.",
        source=SAIL,
        known=Known.READ,
        steps=steps,
    )
