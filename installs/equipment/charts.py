"""A load chart from a CSV file or pasted: as printed (radius down, boom across) or one figure a line."""

from __future__ import annotations

import csv
import io
import math
from typing import Any

from django.core.exceptions import ValidationError

from installs.files.tables import csv_lines
from sitecalc.lift.chart import Rating, chart_faults

LONG = ("boom_ft", "radius_ft", "capacity_lb")
LIMITS = {"boom_ft": (5.0, 500.0, "ft"), "radius_ft": (1.0, 400.0, "ft"), "capacity_lb": (1.0, 3e6, "lb")}
MOST_LINES, MOST_FAULTS = 1000, 8


def read_chart(content: bytes) -> list[dict[str, float]]:
    """The chart's figures. ValidationError names every bad cell by line and column, the first few of them."""
    filled = csv_lines(content, MOST_LINES, "a chart")
    if not filled:
        raise ValidationError("The chart is empty.")
    head = [cell.lower() for cell in filled[0][1]]
    faults: list[str] = []
    if tuple(head[:3]) == LONG:
        figures = _long(filled[1:], faults)
    elif head[0] == "radius_ft":
        figures = _grid(head, filled, faults)
    else:
        raise ValidationError(
            "The first line is either boom_ft, radius_ft, capacity_lb or radius_ft and then the boom lengths."
        )
    if not faults and not figures:
        faults.append("The chart has no figures.")
    if not faults:
        faults = chart_faults(tuple(Rating(**f) for f in figures))
    if faults:
        more = [f"and {len(faults) - MOST_FAULTS} more"] if len(faults) > MOST_FAULTS else []
        raise ValidationError([*faults[:MOST_FAULTS], *more])
    return sorted(figures, key=lambda f: (f["boom_ft"], f["radius_ft"]))


def _long(rows: list[tuple[int, list[str]]], faults: list[str]) -> list[dict[str, float]]:
    figures = []
    for number, row in rows:
        values = {
            name: _number(cell, name, f"Line {number}", faults)
            for name, cell in zip(LONG, [*row, "", "", ""], strict=False)
        }
        figures.append(values)
    return figures


def _grid(head: list[str], filled: list[tuple[int, list[str]]], faults: list[str]) -> list[dict[str, float]]:
    booms = [
        _number(cell, "boom_ft", f"Line {filled[0][0]}, column {i}", faults)
        for i, cell in enumerate(head[1:], 2)
    ]
    figures = []
    for number, row in filled[1:]:
        radius = _number(row[0], "radius_ft", f"Line {number}", faults)
        if len(row) > len(head):
            faults.append(f"Line {number}: more cells than boom lengths.")
        for boom, cell in zip(booms, row[1:], strict=False):
            # blank: the crane has no rating there
            if cell not in ("", "-"):
                capacity = _number(cell, "capacity_lb", f"Line {number}, boom {boom:g} ft", faults)
                figures.append({"boom_ft": boom, "radius_ft": radius, "capacity_lb": capacity})
    return figures


def _number(cell: str, name: str, where: str, faults: list[str]) -> float:
    """The number, or NaN with a fault noted."""
    low, high, unit = LIMITS[name]
    what = f"{where}, {name.rsplit('_', 1)[0]}"
    try:
        value = float(cell.replace(",", "")) if len(cell) <= 20 else math.nan
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        faults.append(f"{what}: {cell[:20] or 'empty'} is not a number.")
        return math.nan
    if not low <= value <= high:
        faults.append(f"{what}: {value:g} {unit} is not between {low:g} and {high:g} {unit}.")
    return value


def grid_text(grid: dict[str, Any]) -> str:
    """A chart as CSV in the printed form, to be read back."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["radius_ft", *[f"{b:g}" for b in grid["booms"]]])
    for row in grid["rows"]:
        cells = ["" if c is None else f"{c:g}" for c in row["cells"]]
        writer.writerow([f"{row['radius']:g}", *cells])
    return out.getvalue()
