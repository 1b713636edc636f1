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

from installs.files.tables import Cells, csv_lines
from sitecalc.lift.chart import Rating, chart_faults

COLUMNS = ("boom_ft", "radius_ft", "capacity_lb")  # of Rating, in the order in which a chart gives them
MOST_LINES = 1000
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
    cells = Cells(Rating)
    if {_stem(name) for name in COLUMNS} <= {_stem(cell) for cell in head}:
        _require_units([cell for cell in head if _stem(cell)], units)
        figures = _long(head, filled[1:], cells, units)
    elif _stem(head[0]) == "radius":
        _require_units(head[:1], units)
        figures = _grid(head, filled, cells, units)
    else:
        raise ValidationError(
            f"The first line is either {', '.join(COLUMNS)} or radius_ft and then the boom lengths. "
            "Of a page in meters it is radius_m; the units are chosen beside it."
        )
    cells.settle([] if figures else ["The chart has no figures."])
    cells.settle(chart_faults(tuple(Rating(**f) for f in figures)))
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


def _long(
    head: list[str], rows: list[tuple[int, list[str]]], cells: Cells, units: Units
) -> list[dict[str, Any]]:
    figures = []
    for line, row in rows:
        cells.no_more_than(len(head), line, row)
        said = {
            _stem(cell): (cell, value) for cell, value in zip(head, [*row, *[""] * len(head)], strict=False)
        }
        (boom_at, boom), (radius_at, radius), (capacity_at, capacity) = (
            said[_stem(name)] for name in COLUMNS
        )
        figures.append(
            {
                "boom_ft": _length(cells, boom, "boom_ft", line, boom_at, units),
                "radius_ft": _length(cells, radius, "radius_ft", line, radius_at, units),
                **_capacity(cells, capacity, line, capacity_at, units),
            }
        )
    return figures


def _grid(
    head: list[str], filled: list[tuple[int, list[str]]], cells: Cells, units: Units
) -> list[dict[str, Any]]:
    booms = [
        _length(cells, cell, "boom_ft", filled[0][0], f"column {place}, boom_{units.length}", units)
        for place, cell in enumerate(head[1:], 2)
    ]
    figures = []
    for line, row in filled[1:]:
        cells.no_more_than(len(head), line, row)
        radius = _length(cells, row[0], "radius_ft", line, head[0], units)
        for place, (boom, cell) in enumerate(zip(booms, row[1:], strict=False), 2):
            # blank: the crane has no rating there
            if cell not in ("", "-"):
                column = (
                    f"column {place}, boom {head[place - 1]} {units.length}, capacity{HEADS[units.weight]}"
                )
                capacity = _capacity(cells, cell, line, column, units)
                figures.append({"boom_ft": boom, "radius_ft": radius, **capacity})
    return figures


def _length(cells: Cells, cell: str, name: str, line: int, column: str, units: Units) -> float:
    if units.length == "ft":
        return cells.number(cell, name, line, column)
    return cells.number(cell, name, line, column, unit=units.length, turned=units.feet)


def _capacity(cells: Cells, cell: str, line: int, column: str, units: Units) -> dict[str, Any]:
    """A figure with a mark beside it is one by the crane's strength: kept, and said where it governs."""
    bare = cell.strip(f"{MARKS} ") if cell.strip(MARKS + " ") else cell
    mark = {"mark": "*"} if bare != cell.strip() and bare else {}
    if units.weight == "lb":
        return {"capacity_lb": cells.number(bare, "capacity_lb", line, column), **mark}
    turned = cells.number(bare, "capacity_lb", line, column, unit=units.weight, turned=units.pounds)
    return {"capacity_lb": turned, **mark}


def grid_text(grid: dict[str, Any]) -> str:
    """A chart as CSV in the printed form, to be read back."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["radius_ft", *[f"{b:.10g}" for b in grid["booms"]]])
    for row in grid["rows"]:
        cells = ["" if c is None else f"{c:.10g}{mark}" for c, mark in row["cells"]]
        writer.writerow([f"{row['radius']:.10g}", *cells])
    return out.getvalue()
