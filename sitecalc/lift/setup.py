"""The search for a set-up: which boom at which radius clears, reaches and carries the load."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sitecalc.cases import ranged_as, same_as
from sitecalc.inputs import InputError, quantity, require_valid
from sitecalc.lift.chart import (
    FIRM_LIMITS,
    Columns,
    LiftClass,
    OutOfChart,
    PercentLimits,
    Rating,
    columns_of,
    lift_class,
    look_up_in,
)  # fmt: skip
from sitecalc.lift.crane import Boom, CraneCase, Heights, crane_geometry
from sitecalc.lift.figures import Corner, LiftFigures

# how far from working a set-up is that stands well but has no figure on the chart
BLANK = 500.0


@dataclass(frozen=True, kw_only=True)
class SearchCase:
    boom: Boom
    heights: Heights
    corners: tuple[Corner, ...]
    chart: tuple[Rating, ...]
    gross_lb: float = quantity("lb", "gross load: item, block, rigging, stowed jib", low=0, high=1_000_000)
    # with the drift of the load in the wind on top of what is typed
    beyond_ft: float = same_as(LiftFigures, "beyond_ft", required=True, high=50)
    clear_ft: float = same_as(LiftFigures, "clear_ft")
    least_radius_ft: float = ranged_as(LiftFigures, "radius_ft", "nearest the crane can stand", default=10.0)
    most_radius_ft: float = ranged_as(LiftFigures, "radius_ft", "farthest the crane may stand", default=150.0)
    step_ft: float = quantity("ft", "step of the radius", low=0.5, high=20, default=1.0)
    limits: PercentLimits = FIRM_LIMITS


@dataclass(frozen=True, kw_only=True)
class SetUp:
    boom_ft: float
    radius_ft: float
    angle_deg: float
    tip_ft: float
    clear_ft: float
    capacity_lb: float
    percent: float
    lift_class: LiftClass


@dataclass(frozen=True)
class Refused:
    """A boom length with which no radius works, and why at the radius where it comes closest."""

    boom_ft: float
    why: str


@dataclass(frozen=True)
class SearchResult:
    """``set_ups``: for each boom that works its radius with the least percent of chart, shortest first."""

    set_ups: tuple[SetUp, ...]
    refused: tuple[Refused, ...]

    @property
    def shortest_boom(self) -> SetUp | None:
        return self.set_ups[0] if self.set_ups else None


def search_set_ups(case: SearchCase) -> SearchResult:
    """Every boom length listed on the chart, at every radius in steps, ft; in between nothing carries more.

    Clearance as of :func:`sitecalc.lift.crane.crane_geometry`, capacity as of
    :func:`sitecalc.lift.chart.look_up`. InputError for radii the wrong way round and an empty chart.
    """
    require_valid(case)
    if case.most_radius_ft < case.least_radius_ft:
        raise InputError("most_radius_ft", "is less than the least radius.")
    if not case.chart:
        raise InputError("chart", "has no figures.")
    count = math.floor((case.most_radius_ft - case.least_radius_ft) / case.step_ft + 1e-9) + 1
    radii = [case.least_radius_ft + i * case.step_ft for i in range(count)]
    set_ups, refused = [], []
    chart = columns_of(case.chart)
    for boom_ft, column in chart.items():
        listed = [r.radius_ft for r in column]
        # where its column is blank nothing is lifted: what the geometry does there is no reason
        on_chart = [r for r in radii if min(listed) <= r + case.beyond_ft <= max(listed)]
        if not on_chart:
            refused.append(
                Refused(boom_ft, f"out of the chart, which goes from {min(listed):g} to {max(listed):g} ft")
            )
            continue
        tried = [_try(case, chart, boom_ft, radius) for radius in on_chart]
        working = [t for t in tried if isinstance(t, SetUp)]
        if working:
            set_ups.append(min(working, key=lambda s: (s.percent, -s.clear_ft)))
        else:
            why = _closest_reason([t for t in tried if isinstance(t, tuple)])
            refused.append(Refused(boom_ft, why + _nearer_or_farther(case, chart, boom_ft, radii, listed)))
    return SearchResult(tuple(set_ups), tuple(refused))


def _try(case: SearchCase, chart: Columns, boom_ft: float, radius_ft: float) -> SetUp | tuple[float, str]:
    """The set-up, or how far it is from working (less is closer) with the reason."""
    here = CraneCase(
        boom=case.boom,
        heights=case.heights,
        corners=case.corners,
        radius_ft=radius_ft,
        boom_ft=boom_ft,
        clear_ft=case.clear_ft,
    )
    try:
        geometry = crane_geometry(here)
    except InputError as error:
        return math.inf, f"{radius_ft:g} ft radius: {error.message}"
    short, near = geometry.needed_tip_ft - geometry.tip_ft, case.clear_ft - geometry.closest.clear_ft
    if short > 1e-9:
        return 1e6 + short, f"tip at most {geometry.tip_ft:.1f} ft up, {geometry.needed_tip_ft:.1f} ft needed"
    if near > 1e-9:
        return 1e3 + near, f"boom {geometry.closest.clear_ft:.1f} ft from the load at {radius_ft:g} ft radius"
    try:
        found = look_up_in(chart, boom_ft, radius_ft + case.beyond_ft)
    except OutOfChart as error:
        return BLANK, f"{radius_ft:g} ft radius: {error.message}"
    percent = 100 * case.gross_lb / found.capacity_lb
    kind = lift_class(percent, case.limits)
    if kind is LiftClass.NOT_PERMITTED:
        return min(percent, 499.0), f"{percent:.0f} % of chart at {radius_ft:g} ft radius"
    return SetUp(
        boom_ft=boom_ft,
        radius_ft=radius_ft,
        angle_deg=geometry.angle_deg,
        tip_ft=geometry.tip_ft,
        clear_ft=geometry.closest.clear_ft,
        capacity_lb=found.capacity_lb,
        percent=percent,
        lift_class=kind,
    )


def _nearer_or_farther(
    case: SearchCase, chart: Columns, boom_ft: float, radii: list[float], listed: list[float]
) -> str:
    """Where boom and load would clear but the chart has no figure any more."""
    first, last, beyond = min(listed), max(listed), case.beyond_ft
    for off, said in (
        (
            [r for r in radii if r + beyond < first],
            f"; nearer it would clear, but this chart begins at {first:g} ft",
        ),
        (
            [r for r in radii if r + beyond > last],
            f"; farther it would clear, but this chart ends at {last:g} ft",
        ),
    ):
        tried = (_try(case, chart, boom_ft, radius) for radius in off)
        if any(isinstance(each, tuple) and each[0] == BLANK for each in tried):
            return said
    return ""


def _closest_reason(tried: list[tuple[float, str]]) -> str:
    return min(tried, key=lambda t: t[0])[1]
