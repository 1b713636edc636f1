"""Runways from a CSV file with the columns of OurAirports' runways.csv (public domain)."""

from __future__ import annotations

import math
from collections.abc import Mapping

from django.core.exceptions import ValidationError

from installs.files.tables import Cells, csv_lines
from sitecalc.cells import number_in
from sitecalc.figures import declared
from sitecalc.site.runways import End, Strip

SIDES = ("le", "he")  # the end of the lower number and that of the higher
PLACES = tuple(figure.name for figure in declared(End))  # latitude_deg, longitude_deg, elevation_ft
COLUMNS = (
    "airport_ident",
    "length_ft",
    "closed",
    *(f"{side}_{name}" for side in SIDES for name in ("ident", *PLACES)),
)
MOST_LINES = 200_000  # the whole earth has about 50,000


def read_strips(content: bytes) -> list[Strip]:
    """Every runway that is not closed. ValidationError names the first bad cells by line and column."""
    lines = csv_lines(content, MOST_LINES, "a list of runways", head=1)
    head = lines[0][1] if lines else []
    missing = [name for name in COLUMNS if name not in head]
    if missing:
        raise ValidationError(f"Columns are missing: {', '.join(missing)}.")
    cells, strips = Cells(Strip, End), []
    for line, row in lines[1:]:
        cells.no_more_than(len(head), line, row)
        said = dict(zip(head, [*row, *[""] * len(head)], strict=False))
        if said["closed"] != "1":
            strips.append(_strip(said, line, cells))
    cells.settle()
    return strips


def _strip(said: Mapping[str, str], line: int, cells: Cells) -> Strip:
    first, second = said["le_ident"], said["he_ident"]
    return Strip(
        airport=said["airport_ident"][:20],
        name="/".join(filter(None, (first, second)))[:20],
        # landing pads of heliports and hospitals are named H1, H2
        use="heliport" if first.upper().startswith("H") else "runway",
        length_ft=_length(said["length_ft"], line, cells),
        ends=(_end(said, "le", line, cells), _end(said, "he", line, cells)),
    )


def _end(said: Mapping[str, str], side: str, line: int, cells: Cells) -> End:
    """None where nothing is published."""
    columns = {name: f"{side}_{name}" for name in PLACES}
    return End(
        **{
            name: cells.number(said[column], name, line, column) if said[column] else None
            for name, column in columns.items()
        }
    )


def _length(cell: str, line: int, cells: Cells) -> float | None:
    """Lists write 0 and the like where a length is not known: out of range counts as not published."""
    length = cells.columns["length_ft"]
    value = number_in(cell)
    if not cell or (length.low or 0.0) <= value <= (length.high or math.inf):
        return value if cell else None
    return cells.number(cell, "length_ft", line, "length_ft") if math.isnan(value) else None
