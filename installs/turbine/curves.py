"""A power curve from a CSV file or pasted text: a head line that names the units, then a row a speed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from django.core.exceptions import ValidationError

from installs.files.tables import Cells, csv_lines
from sitecalc.figures import declared
from sitecalc.site.curve import MOST_ROWS, CurvePoint, curve_faults
from sitecalc.site.wind import MPS_PER_MPH

SPEED, POWER = (figure.name for figure in declared(CurvePoint))  # speed_mph, power_kw
Turned = Callable[[float], float] | None
# heads of a column: its unit, and what makes the declared figure of it; its own is taken as it is
SPEEDS: dict[str, tuple[str, Turned]] = {
    SPEED: ("", None),
    "speed_m_s": ("m/s", lambda v: v / MPS_PER_MPH),
    "speed_mps": ("m/s", lambda v: v / MPS_PER_MPH),
}
POWERS: dict[str, tuple[str, Turned]] = {POWER: ("", None), "power_w": ("W", lambda p: 0.001 * p)}
HEAD = "The first line names the columns: speed_mph or speed_m_s, then power_kw or power_w."


def read_curve(
    content: bytes, *, diameter_ft: float | None = None, cut_in_mph: float | None = None
) -> list[dict[str, float]]:
    """Rows of speed_mph and power_kw. ValidationError names the first bad cells by line and column."""
    lines = csv_lines(content, MOST_ROWS + 1, "a curve", head=1)
    if not lines:
        raise ValidationError("The power curve is empty.")
    head = [cell.lower() for cell in lines[0][1]]
    if len(head) < 2 or head[0] not in SPEEDS or head[1] not in POWERS:
        raise ValidationError(HEAD)
    cells, rows = Cells(CurvePoint), []
    (speed_unit, to_mph), (power_unit, to_kw) = SPEEDS[head[0]], POWERS[head[1]]
    for line, row in lines[1:]:
        cells.no_more_than(len(head), line, row)
        speed, power = [*row, "", ""][:2]
        rows.append(
            {
                SPEED: cells.number(speed, SPEED, line, head[0], unit=speed_unit, turned=to_mph),
                POWER: cells.number(power, POWER, line, head[1], unit=power_unit, turned=to_kw),
            }
        )
    cells.settle()
    called = dict(zip((SPEED, POWER), head, strict=False))
    faults = curve_faults(points_of(rows), diameter_ft=diameter_ft, cut_in_mph=cut_in_mph)
    numbers = [line for line, _row in lines[1:]]
    cells.settle(
        [
            f"{f'Line {numbers[row]}' if numbers else 'The curve'}, {called[column]}: {words}"
            for row, column, words in faults
        ]
    )
    return rows


def points_of(rows: Iterable[Mapping[str, Any]]) -> tuple[CurvePoint, ...]:
    return tuple(CurvePoint(float(row["speed_mph"]), float(row["power_kw"])) for row in rows)


def curve_text(rows: Iterable[Mapping[str, Any]]) -> str:
    """The curve as CSV, to be read back."""
    lines = [f"{row['speed_mph']:.6g},{row['power_kw']:.6g}" for row in rows]
    return "\n".join(["speed_mph,power_kw", *lines, ""]) if lines else ""
