"""The table by angle: what hook, foot and chart have while a tower is raised."""

from __future__ import annotations

import math
from dataclasses import dataclass

from installs.lift import cases
from installs.lift.cases import Figures
from installs.lift.verdicts import never, not_given
from sitecalc.checks import Check, Known, Rule
from sitecalc.lift.chart import CRITICAL, LOOKUP, ChartResult, Load, OutOfChart, look_up
from sitecalc.lift.raising import RaiseResult, raise_at

RAISING = Rule(
    "percent-while-raising", "Chart while raising", "% of chart", f"{LOOKUP}. {CRITICAL}", Known.READ
)
TABLE_DEG = (0.0, 30.0, 60.0, 80.0, 85.0, 88.0)


@dataclass(frozen=True, kw_only=True)
class RaiseRow:
    """One line of the table by angle."""

    angle_deg: float
    hook_lb: float
    tail_lb: float
    gross_lb: float
    percent: float | None
    foot_free: bool


def raise_rows(f: Figures, raising: RaiseResult, load: Load, chart: ChartResult) -> tuple[RaiseRow, ...]:
    """Hook, foot, gross load and percent of chart at each angle up to where the foot is free."""
    case = cases.raise_case(f)
    assert not isinstance(case, list)
    angles = [a for a in TABLE_DEG if a < raising.free_deg - 0.5]
    rows = []
    for angle in [*angles, raising.free_deg]:
        step = raise_at(case, angle)
        gross = load.besides_lb + step.hook_lb
        percent = _percent_at(f, angle, gross, chart)
        rows.append(
            RaiseRow(
                angle_deg=angle,
                hook_lb=step.hook_lb,
                tail_lb=step.tail_lb,
                gross_lb=gross,
                percent=percent,
                foot_free=step.foot_free,
            )
        )
    return tuple(rows)


def radius_at(f: Figures, angle_deg: float, upright_ft: float) -> float:
    """Where the hook is while the tower turns; straight from the flat radius to the last one if it travels.

    Radius along a straight way is at most what its ends' radii give in between.
    """
    flat, taped = f.known.flat_radius_ft, f.known.radius_ft
    if f.known.foot != "hinged" or flat is None or taped is None:
        return upright_ft
    beyond = upright_ft - taped
    return float(upright_ft + (flat + beyond - upright_ft) * math.cos(math.radians(angle_deg)))


def _percent_at(f: Figures, angle_deg: float, gross_lb: float, chart: ChartResult) -> float | None:
    boom = f.known.boom_ft
    if boom is None:
        return None
    radius = radius_at(f, angle_deg, chart.found.asked_radius_ft)
    try:
        return 100 * gross_lb / look_up(cases.ratings_of(f), boom, radius).capacity_lb
    except OutOfChart:
        return None


def raise_check(f: Figures, rows: tuple[RaiseRow, ...], chart: ChartResult) -> list[Check]:
    """Where the hook travels, the chart is read at every angle; a fixed hook has its worst at the end."""
    if f.known.foot != "hinged":
        return []
    if f.known.flat_radius_ft is None:
        return [not_given(RAISING, ["radius while flat"])]
    blank = next((row for row in rows if row.percent is None), None)
    if blank is not None:
        note = f"Not permitted: out of the chart at {blank.angle_deg:.0f} degrees."
        return [never(RAISING, note)]
    worst = max(rows, key=lambda row: row.percent or 0.0)
    limit = f.limits.permitted_to
    return [
        RAISING.compare(
            demand=worst.percent or math.nan,
            capacity=limit,
            note=f"{worst.percent:.0f} % of chart at {worst.angle_deg:.0f} degrees, at most {limit:.0f} %.",
        )
    ]
