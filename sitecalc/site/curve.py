"""A turbine's power curve: what a data sheet may say, and the power between its rows."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass

from sitecalc.inputs import InputError, quantity
from sitecalc.site.wind import M_PER_FT, MPS_PER_MPH, STANDARD_DENSITY

BETZ = 16 / 27
LEAST_ROWS, MOST_ROWS = 3, 200


@dataclass(frozen=True)
class CurvePoint:
    """One row of the curve."""

    speed_mph: float = quantity("mph", "wind speed at hub height", low=0, high=120)
    power_kw: float = quantity("kW", "power delivered", low=0, high=500)


Curve = tuple[CurvePoint, ...]


def curve_faults(
    points: Curve, *, diameter_ft: float | None = None, cut_in_mph: float | None = None
) -> list[tuple[int, str, str]]:
    """Everything wrong with a curve as (row from 0, column, words); empty when it can be used.

    No machine takes more than Betz's 16/27 of the wind through its rotor: a row that does is in another unit.
    """
    faults: list[tuple[int, str, str]] = []
    before = -math.inf
    for row, point in enumerate(points):
        v, p = point.speed_mph, point.power_kw
        if not math.isfinite(v) or v < 0:
            faults.append((row, "speed_mph", "is not a speed."))
            continue
        if not math.isfinite(p) or p < 0:
            faults.append((row, "power_kw", "is not a power of nothing or more."))
            continue
        if v <= before:
            faults.append((row, "speed_mph", f"is {v:g} mph, not above the row before it."))
        if p > 0 and cut_in_mph is not None and v < cut_in_mph - 1e-9:
            faults.append((row, "power_kw", f"is {p:g} kW below the cut-in of {cut_in_mph:g} mph."))
        if diameter_ft is not None and p > betz_kw(v, diameter_ft):
            faults.append(
                (
                    row,
                    "power_kw",
                    f"is {p:g} kW at {v:g} mph, more than any rotor of this size can take. W or m/s?",
                )
            )
        before = max(before, v)
    if not faults:
        faults += _whole_curve_faults(points)
    return faults


def _whole_curve_faults(points: Curve) -> list[tuple[int, str, str]]:
    if not LEAST_ROWS <= len(points) <= MOST_ROWS:
        return [(0, "speed_mph", f"has {len(points)} rows; {LEAST_ROWS} to {MOST_ROWS} are accepted.")]
    if not any(p.power_kw > 0 for p in points):
        return [(0, "power_kw", "is nothing in every row.")]
    working = [i for i, p in enumerate(points) if p.power_kw > 0]
    gaps = [i for i in range(working[0], working[-1]) if points[i].power_kw == 0]
    return [(i, "power_kw", "is nothing between rows with power.") for i in gaps]


def require_curve(
    points: Curve,
    field: str = "curve",
    *,
    diameter_ft: float | None = None,
    cut_in_mph: float | None = None,
) -> None:
    """InputError at the first bad row, counted from 1 in the words."""
    for row, column, words in curve_faults(points, diameter_ft=diameter_ft, cut_in_mph=cut_in_mph):
        raise InputError(f"{field}[{row}].{column}", f"row {row + 1} {words}")


def betz_kw(speed_mph: float, diameter_ft: float, density: float = STANDARD_DENSITY) -> float:
    """16/27 of the wind's power through the rotor."""
    area = math.pi / 4 * (diameter_ft * M_PER_FT) ** 2
    return BETZ * 0.5 * density * area * (speed_mph * MPS_PER_MPH) ** 3 / 1000


def power_kw(points: Curve, speed_mph: float) -> float:
    """On straight lines between the rows; nothing below the first and above the last."""
    if not points[0].speed_mph <= speed_mph <= points[-1].speed_mph:
        return 0.0
    after = bisect_right([p.speed_mph for p in points], speed_mph)
    if after == len(points):
        return points[-1].power_kw
    low, high = points[after - 1], points[after]
    share = (speed_mph - low.speed_mph) / (high.speed_mph - low.speed_mph)
    return low.power_kw + share * (high.power_kw - low.power_kw)
