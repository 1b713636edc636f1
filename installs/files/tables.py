"""A CSV file or pasted table as lines of cells, read no further than the limit, and each cell as its figure.

    cells = Cells(Rating)                       # the dataclass that declares the columns
    for line, row in lines:
        cells.no_more_than(len(head), line, row)
        value = cells.number(row[0], "boom_ft", line, "boom_ft")
    cells.settle()                              # ValidationError with every fault, by line and column

Unit, range and words of a fault are those of the declaration: a file refuses what the form refuses.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Callable, Sequence
from itertools import islice

from django.core.exceptions import ValidationError

from installs.measures import plain_words
from sitecalc.cells import figure_in
from sitecalc.figures import declared
from sitecalc.inputs import InputError

LONGEST_LINE = 2000
MOST_FAULTS = 8


def csv_lines(content: bytes, most: int, what: str, *, head: int = 0) -> list[tuple[int, list[str]]]:
    """(line number, cells without blanks around them) of every line that holds something.

    ValidationError in words for what is not text in UTF-8, has lines longer than a table of figures
    has, or more than ``most`` of them ("a chart has at most 1,000"), of which ``head`` are no figures.
    """
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise ValidationError("This is not a text file (UTF-8). Save the sheet as CSV.") from None
    if "\x00" in text:
        raise ValidationError("This is not a text file. Save the sheet as CSV.")
    # one line more than is taken, and room for blank ones between
    lines = list(islice(io.StringIO(text, newline=None), 2 * most + 2))
    longest = max(range(len(lines)), key=lambda i: len(lines[i]), default=None)
    if longest is not None and len(lines[longest]) > LONGEST_LINE:
        raise ValidationError(
            f"Line {longest + 1} has {len(lines[longest]):,} characters; at most {LONGEST_LINE:,} are read."
        )
    try:
        reader, read, first = csv.reader(lines, strict=True), [], 1
        for row in reader:
            read.append((first, [c.strip() for c in row]))
            first = reader.line_num + 1  # a cell in quotation marks may go over lines
    except csv.Error as error:
        raise ValidationError(f"This is not a CSV file that can be read: {error}.") from None
    filled = [(number, cells) for number, cells in read if any(cells)]
    if len(filled) > most or len(lines) > 2 * most + 1:
        raise ValidationError(f"More than {most:,} lines; {what} has at most {most - head:,}.")
    for number, cells in filled:
        try:
            plain_words("".join(cells))
        except ValidationError as error:
            raise ValidationError([f"Line {number}: {words}" for words in error.messages]) from None
    return filled


class Cells:
    """Reads cells by the declarations of their columns; ``faults`` names what is wrong and where."""

    def __init__(self, *rows: type) -> None:
        self.columns = {figure.name: figure for row in rows for figure in declared(row)}
        self.faults: list[str] = []

    def number(
        self,
        cell: str,
        name: str,
        line: int,
        column: str,
        *,
        unit: str = "",
        turned: Callable[[float], float] | None = None,
    ) -> float:
        """The figure ``name`` in its declared unit, or NaN with a fault noted.

        ``column`` is what the file calls it; ``unit`` and ``turned`` where the file has it in another unit.
        """
        try:
            return figure_in(cell, self.columns[name], unit=unit, turned=turned)
        except InputError as error:
            self.faults.append(f"Line {line}, {column}: {error.message}")
            return math.nan

    def no_more_than(self, heads: int, line: int, row: Sequence[str]) -> None:
        """A cell under no head is a fault: what it says would be lost."""
        if any(row[heads:]):
            self.faults.append(
                f"Line {line} has more cells, {len(row)}, than the first line has columns, {heads}."
            )

    def settle(self, faults: Sequence[str] = ()) -> None:
        """ValidationError with the first faults, those of the cells or else ``faults``, and how many more."""
        found = self.faults or list(faults)
        if found:
            more = [f"and {len(found) - MOST_FAULTS} more"] if len(found) > MOST_FAULTS else []
            raise ValidationError([*found[:MOST_FAULTS], *more])
