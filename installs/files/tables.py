"""A CSV file or pasted table as lines of cells, read no further than the limit."""

from __future__ import annotations

import csv
import io
from itertools import islice

from django.core.exceptions import ValidationError

from installs.measures import plain_words

LONGEST_LINE = 2000


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
        read = [
            (i, [c.strip() for c in row]) for i, row in enumerate(csv.reader(lines, strict=True), start=1)
        ]
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
