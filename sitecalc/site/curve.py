"""A turbine's power curve: what a data sheet may say, and the power between its rows."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass

from sitecalc.formula import Formula
from sitecalc.inputs import InputError, quantity
from sitecalc.site.wind import STANDARD_DENSITY

BETZ = 16 / 27
AREA = Formula("A", "area of the rotor", "pi*(0.3048*D)**2/4", "m2")
BETZ_POWER = Formula("P", "most a rotor takes of the wind", "16/27*0.5*rho*A*(0.44704*v)**3/1000", "kW")
ROW = Formula("P", "power between two rows", "P1+(v-v1)/(v2-v1)*(P2-P1)", "kW")
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

    diameter_ft, cut_in_mph
        of the rotor and of the machine; what they would show is not looked for where they are not known.

    No machine takes more than :func:`betz_kw` of the wind through its rotor: a row that does is in another
    unit.
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
    """16/27 of the wind's power through the rotor in kW, from mph, ft and kg/m3.

    P = 16/27 x 0.5 rho A v^3 with A and v in metric units. Any rotor in free wind. Betz, textbook.
    """
    return BETZ_POWER.value(rho=density, A=AREA.value(D=diameter_ft), v=speed_mph)


def power_kw(points: Curve, speed_mph: float) -> float:
    """Power in kW at a speed in mph, on straight lines between the rows.

    Nothing below the first and above the last. IEC 61400-12-1, power curve by bins (from memory).
    """
    if not points[0].speed_mph <= speed_mph <= points[-1].speed_mph:
        return 0.0
    after = bisect_right([p.speed_mph for p in points], speed_mph)
    if after == len(points):
        return points[-1].power_kw
    low, high = points[after - 1], points[after]
    return ROW.value(P1=low.power_kw, v=speed_mph, v1=low.speed_mph, v2=high.speed_mph, P2=high.power_kw)
