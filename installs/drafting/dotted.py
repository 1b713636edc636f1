"""Dots as one path, in few letters: thousands of them stand on a page.

The stipple repeats from tile to tile, so that most dots stand in a row with others, a tile apart. Such a row
is one stroke dashed at that distance, whose round caps are the dots. Places are whole tenths of a px.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from .shapes import Pair
from .stipple import TILE

PER_PX = 10
DOT = 1  # length of a dot's own stroke, in tenths


def dots_svg(points: Iterable[Pair], width_px: float) -> str:
    """A ``<path>`` in ink of dots ``width_px`` wide; "" for none."""
    rows: dict[int, list[float]] = defaultdict(list)
    for x, y in points:
        rows[round(y * PER_PX)].append(x)
    parts = []
    for y, places in sorted(rows.items()):
        for first, last in rows_of_dots(places):
            x, end = round(first * PER_PX), round(last * PER_PX)
            parts.append(f"M{x}{'' if y < 0 else ' '}{y}h{end - x + DOT}")
    if not parts:
        return ""
    ink = f'stroke="currentColor" stroke-width="{width_px * PER_PX:g}" stroke-linecap="round"'
    dashes = f'stroke-dasharray="{DOT} {TILE * PER_PX - DOT:g}"'
    return f'<path transform="scale({1 / PER_PX:g})" d="{"".join(parts)}" {ink} {dashes}/>'


def rows_of_dots(places: Iterable[float]) -> Iterator[tuple[float, float]]:
    """First and last of each unbroken row of places a tile apart, all at one height."""
    ends: dict[int, tuple[float, float]] = {}  # of rows, by where the next of it would stand, in hundredths
    for x in sorted(places):
        first, _last = ends.pop(round(x * 100), (x, x))
        ends[round((x + TILE) * 100)] = first, x
    yield from ends.values()
