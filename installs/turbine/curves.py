"""A power curve from a CSV file or pasted text: a head line that names the units, then a row a speed."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any

from django.core.exceptions import ValidationError

from installs.files.tables import csv_lines
from sitecalc.site.curve import MOST_ROWS, CurvePoint, curve_faults
from sitecalc.site.wind import MPS_PER_MPH

SPEEDS = {"speed_mph": 1.0, "speed_m_s": 1 / MPS_PER_MPH, "speed_mps": 1 / MPS_PER_MPH}
POWERS = {"power_kw": 1.0, "power_w": 0.001}
HEAD = "The first line names the columns: speed_mph or speed_m_s, then power_kw or power_w."
MOST_FAULTS = 8


def read_curve(
    content: bytes, *, diameter_ft: float | None = None, cut_in_mph: float | None = None
) -> list[dict[str, float]]:
    """Rows of speed_mph and power_kw. ValidationError names the first bad cells by their lines."""
    lines = csv_lines(content, MOST_ROWS + 1, "a curve", head=1)
    if not lines:
        raise ValidationError("The power curve is empty.")
    head = [cell.lower() for cell in lines[0][1]]
    if len(head) < 2 or head[0] not in SPEEDS or head[1] not in POWERS:
        raise ValidationError(HEAD)
    faults: list[str] = []
    rows = []
    for number, cells in lines[1:]:
        cells = [*cells, "", ""]
        rows.append(
            {
                "speed_mph": _number(cells[0], f"Line {number}, speed", faults) * SPEEDS[head[0]],
                "power_kw": _number(cells[1], f"Line {number}, power", faults) * POWERS[head[1]],
            }
        )
    if not faults:
        numbers = [number for number, _cells in lines[1:]]
        points = points_of(rows)
        for row, column, words in curve_faults(points, diameter_ft=diameter_ft, cut_in_mph=cut_in_mph):
            where = f"Line {numbers[row]}" if numbers else "The curve"
            faults.append(f"{where}, {column.split('_')[0]}: {words}")
    if faults:
        more = [f"and {len(faults) - MOST_FAULTS} more"] if len(faults) > MOST_FAULTS else []
        raise ValidationError([*faults[:MOST_FAULTS], *more])
    return rows


def _number(cell: str, where: str, faults: list[str]) -> float:
    """The number, or NaN with a fault noted."""
    try:
        value = float(cell) if len(cell) <= 20 else math.nan
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        faults.append(f"{where}: {cell[:20] or 'empty'} is not a number.")
        return math.nan
    return value


def points_of(rows: Iterable[Mapping[str, Any]]) -> tuple[CurvePoint, ...]:
    return tuple(CurvePoint(float(row["speed_mph"]), float(row["power_kw"])) for row in rows)


def curve_text(rows: Iterable[Mapping[str, Any]]) -> str:
    """The curve as CSV, to be read back."""
    lines = [f"{row['speed_mph']:.6g},{row['power_kw']:.6g}" for row in rows]
    return "\n".join(["speed_mph,power_kw", *lines, ""]) if lines else ""
