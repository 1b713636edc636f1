"""Runways from a CSV file with the columns of OurAirports' runways.csv (public domain)."""

from __future__ import annotations

import csv
import io
import math
from typing import Any

from django.core.exceptions import ValidationError

from sitecalc.site.runways import End, Strip

COLUMNS = (
    "airport_ident", "length_ft", "closed", "le_ident", "le_latitude_deg", "le_longitude_deg",
    "le_elevation_ft", "he_ident", "he_latitude_deg", "he_longitude_deg", "he_elevation_ft",
)  # fmt: skip
MOST_FAULTS = 8


def read_strips(content: bytes) -> list[Strip]:
    """Every runway that is not closed. ValidationError names the first bad cells by their lines."""
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise ValidationError("This is not a text file (UTF-8).") from None
    reader = csv.DictReader(io.StringIO(text, newline=""), strict=True)
    faults: list[str] = []
    try:
        missing = [name for name in COLUMNS if name not in (reader.fieldnames or ())]
        if missing:
            raise ValidationError(f"Columns are missing: {', '.join(missing)}.")
        strips = [_strip(row, reader.line_num, faults) for row in reader if row["closed"] != "1"]
    except csv.Error as error:
        raise ValidationError(f"This is not a CSV file that can be read: {error}.") from None
    if faults:
        more = [f"and {len(faults) - MOST_FAULTS} more"] if len(faults) > MOST_FAULTS else []
        raise ValidationError([*faults[:MOST_FAULTS], *more])
    return strips


def _strip(row: dict[str, Any], line: int, faults: list[str]) -> Strip:
    first, second = (row["le_ident"] or "").strip(), (row["he_ident"] or "").strip()
    return Strip(
        airport=(row["airport_ident"] or "").strip()[:20],
        name="/".join(filter(None, (first, second)))[:20],
        # landing pads of heliports and hospitals are named H1, H2
        use="heliport" if first.upper().startswith("H") else "runway",
        length_ft=_number(row, "length_ft", line, faults, 100, 20_000),
        ends=(_end(row, "le", line, faults), _end(row, "he", line, faults)),
    )


def _end(row: dict[str, Any], side: str, line: int, faults: list[str]) -> End:
    return End(
        latitude_deg=_number(row, f"{side}_latitude_deg", line, faults, -90, 90),
        longitude_deg=_number(row, f"{side}_longitude_deg", line, faults, -180, 180),
        elevation_ft=_number(row, f"{side}_elevation_ft", line, faults, -1500, 20_000),
    )


def _number(
    row: dict[str, Any], name: str, line: int, faults: list[str], low: float, high: float
) -> float | None:
    """None where nothing is published; a length out of range counts as that, a coordinate is a fault."""
    cell = (row[name] or "").strip()
    if not cell:
        return None
    try:
        value = float(cell) if len(cell) <= 30 else math.nan
    except ValueError:
        value = math.nan
    if low <= value <= high:
        return value
    if name == "length_ft" and math.isfinite(value):
        return None
    faults.append(f"Line {line}, {name}: {cell[:20]} is not between {low:g} and {high:g}.")
    return None
