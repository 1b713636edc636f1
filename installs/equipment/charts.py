"""A load chart from a CSV file or pasted: as printed (radius down, boom across) or one figure a line."""

from __future__ import annotations

import csv
import io
from typing import Any

from django.core.exceptions import ValidationError

from installs.files.tables import Cells, csv_lines
from sitecalc.figures import declared
from sitecalc.lift.chart import Rating, chart_faults

COLUMNS = tuple(figure.name for figure in declared(Rating))  # boom_ft, radius_ft, capacity_lb
MOST_LINES = 1000


def read_chart(content: bytes) -> list[dict[str, float]]:
    """The chart's figures. ValidationError names every bad cell by line and column, the first few of them."""
    filled = csv_lines(content, MOST_LINES, "a chart")
    if not filled:
        raise ValidationError("The chart is empty.")
    head = [cell.lower() for cell in filled[0][1]]
    cells = Cells(Rating)
    if set(COLUMNS) <= set(head):
        figures = _long(head, filled[1:], cells)
    elif head[0] == "radius_ft":
        figures = _grid(head, filled, cells)
    else:
        raise ValidationError(
            f"The first line is either {', '.join(COLUMNS)} or radius_ft and then the boom lengths."
        )
    cells.settle([] if figures else ["The chart has no figures."])
    cells.settle(chart_faults(tuple(Rating(**f) for f in figures)))
    return sorted(figures, key=lambda f: (f["boom_ft"], f["radius_ft"]))


def _long(head: list[str], rows: list[tuple[int, list[str]]], cells: Cells) -> list[dict[str, float]]:
    figures = []
    for line, row in rows:
        cells.no_more_than(len(head), line, row)
        said = dict(zip(head, [*row, *[""] * len(head)], strict=False))
        figures.append({name: cells.number(said[name], name, line, name) for name in COLUMNS})
    return figures


def _grid(head: list[str], filled: list[tuple[int, list[str]]], cells: Cells) -> list[dict[str, float]]:
    booms = [
        cells.number(cell, "boom_ft", filled[0][0], f"column {place}, boom_ft")
        for place, cell in enumerate(head[1:], 2)
    ]
    figures = []
    for line, row in filled[1:]:
        cells.no_more_than(len(head), line, row)
        radius = cells.number(row[0], "radius_ft", line, "radius_ft")
        for place, (boom, cell) in enumerate(zip(booms, row[1:], strict=False), 2):
            # blank: the crane has no rating there
            if cell not in ("", "-"):
                column = f"column {place}, boom {boom:g} ft, capacity_lb"
                capacity = cells.number(cell, "capacity_lb", line, column)
                figures.append({"boom_ft": boom, "radius_ft": radius, "capacity_lb": capacity})
    return figures


def grid_text(grid: dict[str, Any]) -> str:
    """A chart as CSV in the printed form, to be read back."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["radius_ft", *[f"{b:g}" for b in grid["booms"]]])
    for row in grid["rows"]:
        cells = ["" if c is None else f"{c:g}" for c in row["cells"]]
        writer.writerow([f"{row['radius']:g}", *cells])
    return out.getvalue()
