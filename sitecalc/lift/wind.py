"""Wind on the load: the gust at which the lift stops, what a forecast means at the tip, drift of the radius.

Gusts are 3-second gusts at the boom tip in mph; forecasts are 10-minute means at 33 ft.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule, Step, readable
from sitecalc.formula import Formula, looked_up
from sitecalc.inputs import InputError, quantity, require_valid
from sitecalc.lift.figures import LiftFigures

FT2_PER_M2 = 1 / 0.3048**2
LB_PER_TONNE = 1000 / 0.45359237
# what a load chart allows for: 1.2 square meters of drag area for each tonne on the hook
CHART_AREA_FT2_PER_LB = 1.2 * FT2_PER_M2 / LB_PER_TONNE
SAIL = (
    "Crane maker's training text, Influence of wind on crane operation; rough-terrain crane manual, "
    "fig. 2-1: 0.0059 ft2/lb"
)

WIND = Rule("wind", "Wind", "mph", SAIL, Known.READ)

ALLOWED = Formula("v", "gust the load allows", "v_chart*min(1,sqrt(a*W/A))", "mph")
AREA = Formula("A", "drag area of the load", "sail*cw", "ft2")
GUST = Formula("v", "gust at the height", "v10*((0.3048*z/10)**0.14+0.4)", "mph")
FORECAST = Formula(
    "v10",
    "forecast mean at 33 ft that brings the gust where we stop",
    "v/((0.3048*z/10)**0.14+0.4)",
    "mph",
)
FORCE = Formula("F", "wind on the load", "0.00256*v**2*A", "lb")
DRIFT = Formula("x", "the load drifts out", "rope*F/W", "ft")


@dataclass(frozen=True, kw_only=True)
class WindCase:
    chart_gust_mph: float = quantity("mph", "gust the load chart allows", low=5, high=45, shown_at="chart")
    hook_lb: float = quantity(
        "lb", "on the hook: item, rigging and block", low=1, high=1_000_000, shown_at="weight_lb"
    )
    sail_ft2: float = same_as(LiftFigures, "sail_ft2", required=True)
    drag: float = same_as(LiftFigures, "drag")
    tip_ft: float = quantity("ft", "boom tip above grade", low=5, high=600, shown_at="boom_ft")
    rope_ft: float = quantity(
        "ft", "boom tip down to the load's middle", low=0, high=600, shown_at="rigging_ft"
    )
    stop_gust_mph: float | None = same_as(LiftFigures, "stop_gust_mph")


@dataclass(frozen=True, kw_only=True)
class WindResult:
    """``stop_gust_mph``: where the lift stops; ``forecast_mph``: the mean at 33 ft that brings it."""

    limit_gust_mph: float
    stop_gust_mph: float
    forecast_mph: float
    force_lb: float
    drift_ft: float
    checks: tuple[Check, ...]


def gust_limit_mph(chart_gust_mph: float, hook_lb: float, drag_area_ft2: float) -> float:
    """The chart's gust in mph, brought down for a load with much area in ft2 for its weight in lb.

    v_chart sqrt(a W / A), never above the chart's; a = 1.2 m2 of drag area a tonne, what a chart allows for.
    Crane maker's training text, Influence of wind on crane operation; rough-terrain crane manual, fig. 2-1.
    """
    return _allowed(chart_gust_mph, hook_lb, drag_area_ft2).value


def _allowed(chart_gust_mph: float, hook_lb: float, drag_area_ft2: float) -> Step:
    if drag_area_ft2 <= 0:
        how, where = "the chart's gust", "the wind finds no area on the load"
        return looked_up("v", "gust the load allows", how, where, chart_gust_mph, "mph")
    return ALLOWED.step(v_chart=chart_gust_mph, a=CHART_AREA_FT2_PER_LB, W=hook_lb, A=drag_area_ft2)


def gust_at_height_mph(mean_mph: float, height_ft: float) -> float:
    """3-second gust in mph at a height in ft, from the 10-minute mean in mph at 33 ft (10 m).

    v10 ((z / 10 m)^0.14 + 0.4). Open country, boom tips to some 300 ft. Crane maker's training text.
    """
    return GUST.value(v10=mean_mph, z=height_ft)


def limit_in_words(value: float, decimals: int = 0) -> str:
    """A limit in its own unit as it is printed: never rounded in the crew's favor."""
    size = 10**decimals
    return f"{math.floor(value * size + 1e-6) / size:.{decimals}f}"


def wind_force_lb(gust_mph: float, drag_area_ft2: float) -> float:
    """Wind on a load in lb, from the gust in mph and the drag area in ft2.

    F = 0.00256 v^2 A, air at sea level. ASCE 7, velocity pressure (read in secondary copies).
    """
    return FORCE.value(v=gust_mph, A=drag_area_ft2)


def drift_ft(force_lb: float, hook_lb: float, rope_ft: float) -> float:
    """How far in ft the wind carries the load out, from force and weight in lb and the rope in ft.

    rope F / W: rope times the tangent of its lean, a steady wind. Plane statics.
    """
    return DRIFT.value(rope=rope_ft, F=force_lb, W=hook_lb)


def wind_on_load(case: WindCase) -> WindResult:
    """Gust limit in mph, drift in ft at the gust where the crew stops, the forecast that brings that gust.

    As of :func:`gust_limit_mph`, :func:`drift_ft` and :func:`gust_at_height_mph`. InputError where nothing is
    left.
    """
    require_valid(case)
    area = AREA.value(sail=case.sail_ft2, cw=case.drag)
    limit = gust_limit_mph(case.chart_gust_mph, case.hook_lb, area)
    # not rounded here: forecast and drift are worked out from the limit itself, print rounds to the safe side
    stop = case.stop_gust_mph if case.stop_gust_mph is not None else limit
    if stop < 3:
        raise InputError("sail_ft2", f"leaves a gust limit of {limit:.1f} mph; no day is that still.")
    force = wind_force_lb(stop, area)
    drift = drift_ft(force, case.hook_lb, case.rope_ft)
    forecast = FORECAST.value(v=stop, z=case.tip_ft)
    result = WindResult(
        limit_gust_mph=limit,
        stop_gust_mph=stop,
        forecast_mph=forecast,
        force_lb=force,
        drift_ft=drift,
        checks=(),
    )
    return replace(result, checks=(_wind_check(case, area, result),))


def _wind_check(case: WindCase, area: float, found: WindResult) -> Check:
    limit, stop = found.limit_gust_mph, found.stop_gust_mph
    return WIND.compare(
        demand=stop,
        capacity=limit,
        note=f"Stop at {limit_in_words(stop)} mph gust at the tip; this load allows "
        f"{limit_in_words(limit, 1)}, the chart {readable(case.chart_gust_mph)}. Forecast mean at 33 ft: "
        f"{limit_in_words(found.forecast_mph, 1)} mph.",
        steps=(
            AREA.step(sail=case.sail_ft2, cw=case.drag),
            _allowed(case.chart_gust_mph, case.hook_lb, area),
            FORECAST.step(v=stop, z=case.tip_ft),
            FORCE.step(v=stop, A=area),
            DRIFT.step(rope=case.rope_ft, F=found.force_lb, W=case.hook_lb),
        ),
    )
