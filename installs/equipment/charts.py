"""A load chart from a CSV file or pasted: as printed (radius down, boom across) or one figure a line.

In the units of its page, which are asked; kept in feet and pounds. A figure marked * stays marked.
"""

from __future__ import annotations

import csv
import io
import math
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError

from installs.files.tables import csv_lines
from sitecalc.lift.chart import Rating, chart_faults

LONG = ("boom_ft", "radius_ft", "capacity_lb")
LIMITS = {"boom_ft": (5.0, 500.0, "ft"), "radius_ft": (1.0, 400.0, "ft"), "capacity_lb": (1.0, 3e6, "lb")}
MOST_LINES, MOST_FAULTS = 1000, 8
FEET = {"ft": 1.0, "m": 1 / 0.3048}
POUNDS = {"lb": 1.0, "1,000 lb": 1000.0, "kg": 1 / 0.45359237, "t": 1000 / 0.45359237, "short tons": 2000.0}
MPH = {"mph": 1.0, "m/s": 1 / 0.44704, "km/h": 1 / 1.609344}
MARKS = "*#"


@dataclass(frozen=True)
class Units:
    """Units of a chart's page: of its lengths and of its capacities."""

    length: str = "ft"
    weight: str = "lb"

    def feet(self, value: float) -> float:
        return self._close(value * FEET[self.length], self.length == "ft")

    def pounds(self, value: float) -> float:
        # cut down: a capacity is never rounded up
        pounds = value * POUNDS[self.weight]
        return pounds if self.weight == "lb" else float(math.floor(pounds + 1e-6))

    @staticmethod
    def _close(feet: float, ours: bool) -> float:
        return feet if ours else round(feet, 2)

    @property
    def in_words(self) -> str:
        return "" if self == OURS else f"{self.length}, {self.weight}"


OURS = Units()


def read_chart(content: bytes, units: Units = OURS) -> list[dict[str, Any]]:
    """The chart's figures in ft and lb; a marked one has ``mark``.

    ValidationError names every bad cell by line and column, the first few of them.
    """
    filled = csv_lines(content, MOST_LINES, "a chart")
    if not filled:
        raise ValidationError("The chart is empty.")
    head = [cell.lower() for cell in filled[0][1]]
    faults: list[str] = []
    if tuple(_stem(cell) for cell in head[:3]) == tuple(_stem(name) for name in LONG):
        _require_units(head[:3], units)
        figures = _long(filled[1:], faults, units)
    elif _stem(head[0]) == "radius":
        _require_units(head[:1], units)
        figures = _grid(head, filled, faults, units)
    else:
        raise ValidationError(
            "The first line is either boom_ft, radius_ft, capacity_lb or radius_ft and then the boom "
            "lengths. Of a page in meters it is radius_m; the units are chosen beside it."
        )
    if not faults and not figures:
        faults.append("The chart has no figures.")
    if not faults:
        faults = chart_faults(tuple(Rating(**f) for f in figures))
    if faults:
        more = [f"and {len(faults) - MOST_FAULTS} more"] if len(faults) > MOST_FAULTS else []
        raise ValidationError([*faults[:MOST_FAULTS], *more])
    return sorted(figures, key=lambda f: (f["boom_ft"], f["radius_ft"]))


HEADS = {
    "ft": "_ft",
    "m": "_m",
    "lb": "_lb",
    "1,000 lb": "_klb",
    "kg": "_kg",
    "t": "_t",
    "short tons": "_tons",
}
ENDINGS = tuple(HEADS.values())


def _stem(head: str) -> str:
    """The figure of "radius_m"; a head without a unit of ours is no head."""
    return next((head.removesuffix(e) for e in ENDINGS if head.endswith(e)), "")


def _require_units(heads: list[str], units: Units) -> None:
    """The head of the sheet says a unit too: both say the same."""
    for head in heads:
        unit = units.weight if head.startswith("capacity") else units.length
        if not head.endswith(HEADS[unit]) or _stem(head) + HEADS[unit] != head:
            raise ValidationError(
                f"The first line says {head[:20]}, and the unit chosen beside it is {unit}."
            )


def _long(rows: list[tuple[int, list[str]]], faults: list[str], units: Units) -> list[dict[str, Any]]:
    figures = []
    for number, row in rows:
        boom, radius, capacity = [*row, "", "", ""][:3]
        where = f"Line {number}"
        figures.append(
            {
                "boom_ft": _number(boom, "boom_ft", where, faults, units),
                "radius_ft": _number(radius, "radius_ft", where, faults, units),
                **_capacity(capacity, where, faults, units),
            }
        )
    return figures


def _capacity(cell: str, where: str, faults: list[str], units: Units) -> dict[str, Any]:
    """A figure with a mark beside it is one by the crane's strength: kept, and said where it governs."""
    bare = cell.strip(f"{MARKS} ") if cell.strip(MARKS + " ") else cell
    mark = {"mark": "*"} if bare != cell.strip() and bare else {}
    return {"capacity_lb": _number(bare, "capacity_lb", where, faults, units), **mark}


def _grid(
    head: list[str], filled: list[tuple[int, list[str]]], faults: list[str], units: Units
) -> list[dict[str, Any]]:
    booms = [
        _number(cell, "boom_ft", f"Line {filled[0][0]}, column {i}", faults, units)
        for i, cell in enumerate(head[1:], 2)
    ]
    figures = []
    for number, row in filled[1:]:
        radius = _number(row[0], "radius_ft", f"Line {number}", faults, units)
        if len(row) > len(head):
            faults.append(f"Line {number}: more cells than boom lengths.")
        for boom, cell in zip(booms, row[1:], strict=False):
            # blank: the crane has no rating there
            if cell not in ("", "-"):
                capacity = _capacity(cell, f"Line {number}, boom {boom:g} ft", faults, units)
                figures.append({"boom_ft": boom, "radius_ft": radius, **capacity})
    return figures


def _number(cell: str, name: str, where: str, faults: list[str], units: Units) -> float:
    """The number in ft or lb, or NaN with a fault noted."""
    low, high, unit = LIMITS[name]
    what = f"{where}, {name.rsplit('_', 1)[0]}"
    try:
        value = float(cell.replace(",", "")) if len(cell) <= 20 else math.nan
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        faults.append(f"{what}: {cell[:20] or 'empty'} is not a number.")
        return math.nan
    value = units.pounds(value) if unit == "lb" else units.feet(value)
    if not low <= value <= high:
        faults.append(f"{what}: {value:g} {unit} is not between {low:g} and {high:g} {unit}.")
    return value


def grid_text(grid: dict[str, Any]) -> str:
    """A chart as CSV in the printed form, to be read back."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["radius_ft", *[f"{b:.10g}" for b in grid["booms"]]])
    for row in grid["rows"]:
        cells = ["" if c is None else f"{c:.10g}{mark}" for c, mark in row["cells"]]
        writer.writerow([f"{row['radius']:.10g}", *cells])
    return out.getvalue()
