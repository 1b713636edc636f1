"""The one-line folded to a paper sheet: columns no taller than it, and one more drawing where it is full.

A turbine of two runs is a U as on a desk. With more the line goes down and up over as many columns as a sheet
has, and on from one drawing to the next: nothing is made smaller, nothing is cut.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from installs.drafting import Drawing
from installs.ground_station.chain import Item
from installs.ground_station.drawing import (
    BALLOON_PX,
    COLUMN_PX,
    LETTERS,
    Laid,
    draw_column,
    laid_out,
    told,
    u_drawing,
)
from installs.ground_station.symbols import SYMBOLS

# a tabloid sheet with its head, its foot, and some lines of open deviations
TALLEST_PX, MOST_COLUMNS = 610.0, 3
TURN_PX, BEYOND_PX = 14.0, 30.0


def paper_drawings(before: Sequence[Item], after: Sequence[Item], edition: str) -> list[Drawing]:
    """One drawing, or as many as it takes; every item stands on one of them, in order."""
    tall = max(laid_out(part, LETTERS)[1] for part in (before, after))
    if tall <= TALLEST_PX:
        return [u_drawing(before, after, edition)]
    columns = _columns([*before, *after])
    count = math.ceil(len(columns) / MOST_COLUMNS)
    share = math.ceil(len(columns) / count)
    sheets = [columns[i : i + share] for i in range(0, len(columns), share)]
    return [_drawing(sheet, edition, place, len(sheets)) for place, sheet in enumerate(sheets, 1)]


def _columns(items: Sequence[Item]) -> list[list[Item]]:
    """Columns about alike, none taller than the sheet; an item is never divided."""
    needs = [laid_out([item], LETTERS)[1] for item in items]
    wanted = math.ceil(sum(needs) / TALLEST_PX)
    while True:
        columns = _filled(items, needs, max(sum(needs) / wanted, *needs))
        if all(laid_out(column, LETTERS)[1] <= max(TALLEST_PX, *needs) for column in columns):
            return columns
        wanted += 1


def _filled(items: Sequence[Item], needs: Sequence[float], share: float) -> list[list[Item]]:
    """An item goes on in the column to which the most of it belongs."""
    columns: list[list[Item]] = []
    at = 0.0
    for item, need in zip(items, needs, strict=True):
        place = int((at + need / 2) // share)
        while len(columns) <= place:
            columns.append([])
        columns[place].append(item)
        at += need
    return [column for column in columns if column]


def _drawing(columns: Sequence[Sequence[Item]], edition: str, place: int, of: int) -> Drawing:
    which = f" {place} of {of}" if of > 1 else ""
    every = [item for column in columns for item in column]
    d = Drawing(f"One-line diagram{which}", px_per_ft=1, description=told(every))
    heights = [laid_out(column, LETTERS)[1] for column in columns]
    tall = max(heights)
    standing: list[list[Laid]] = []
    for index, column in enumerate(columns):
        down = index % 2 == 0
        laid = [
            Laid(each.item, tall - each.y if down else each.y, each.words)
            for each in laid_out(column, LETTERS)[0]
        ]
        draw_column(d, laid, index * COLUMN_PX, ends="both", down=down)
        standing.append(laid)
    for index, (one, other) in enumerate(pairwise(standing)):
        _turn(d, index, one[-1], other[0], -TURN_PX if index % 2 == 0 else tall + TURN_PX)
    if place > 1:
        _beyond(d, 0, standing[0][0], True, tall, f"from drawing {place - 1}")
    if place < of:
        last = len(standing) - 1
        _beyond(d, last, standing[-1][-1], last % 2 == 1, tall, f"to drawing {place + 1}")
    d.drawing_title(
        (BALLOON_PX - 12, -TURN_PX - 48), f"One-line diagram{which}", f"not to scale; NEC {edition}"
    )
    return d


def _turn(d: Drawing, index: int, one: Laid, other: Laid, level: float) -> None:
    """From the end of one column over to the beginning of the next, under or over both."""
    sign = 1 if level > one.y else -1
    left, right = index * COLUMN_PX, (index + 1) * COLUMN_PX
    d.polyline(
        [
            (left, one.y + sign * SYMBOLS[one.item.symbol].half),
            (left, level),
            (right, level),
            (right, other.y + sign * SYMBOLS[other.item.symbol].half),
        ]
    )


def _beyond(d: Drawing, index: int, end: Laid, up: bool, tall: float, words: str) -> None:
    """The conductor goes on, on another drawing."""
    x, sign = index * COLUMN_PX, 1 if up else -1
    level = tall + BEYOND_PX if up else -BEYOND_PX
    d.line((x, end.y + sign * SYMBOLS[end.item.symbol].half), (x, level), dash="axis")
    d.text((x + 8, level - (12 if up else 0)), words, size=12)
