"""Concrete dots at uneven distance that close up with maturity.

One tile of dots is laid out once, roughest first: each dot keeps clear of those before it, and the
clearance shrinks. A denser stipple is the same dots and more, so that a pad grows denser as it cures.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from functools import lru_cache

from .shapes import Pair

TILE = 64.0
SECTION_APART, FRESH_APART, CURED_APART = 9.0, 6.4, 1.7
MOST_DOTS = 6000  # a large region is thinned to this, so that a page stays light


def apart(maturity: float | None) -> float:
    """Mean distance of dots in px: 6.4 fresh to 1.7 at 28 curing days; a plain section 9."""
    if maturity is None:
        return SECTION_APART
    return FRESH_APART + (CURED_APART - FRESH_APART) * min(max(maturity, 0.0), 1.0)


def dots_between(
    left: float, top: float, right: float, bottom: float, maturity: float | None
) -> Iterator[Pair]:
    """Dots of a rectangle of the paper; the pattern is fixed to the paper, not to the rectangle."""
    distance = apart(maturity)
    area = max(right - left, 0.0) * max(bottom - top, 0.0)
    distance = max(distance, math.sqrt(area / MOST_DOTS))
    return _placed(left, top, right, bottom, lambda _x: distance)


def graded_dots(
    left: float, top: float, right: float, bottom: float, maturity_at: Callable[[float], float | None]
) -> Iterator[Pair]:
    """Dots whose density follows ``maturity_at(x_px)``: the cure along a season schedule."""
    return _placed(left, top, right, bottom, lambda x: apart(maturity_at(x)))


def _placed(
    left: float, top: float, right: float, bottom: float, apart_at: Callable[[float], float]
) -> Iterator[Pair]:
    tile = _tile()
    for row in range(math.floor(top / TILE), math.ceil(bottom / TILE)):
        for column in range(math.floor(left / TILE), math.ceil(right / TILE)):
            for reach, x, y in tile:
                px, py = column * TILE + x, row * TILE + y
                if left < px < right and top < py < bottom and reach >= apart_at(px):
                    yield px, py


@lru_cache(maxsize=1)
def _tile() -> tuple[tuple[float, float, float], ...]:
    """(distance at which the dot appears, x, y), the sparsest first. Wraps round at the tile's edges."""
    kept: list[Pair] = []
    cells: dict[tuple[int, int], list[Pair]] = {}
    seed = 20310519
    wanted = int(TILE * TILE / CURED_APART**2)
    clear, misses = TILE / 4, 0
    while len(kept) < wanted:
        seed = (seed * 6364136223846793005 + 1442695040888963407) % 2**64
        x, y = (seed >> 40) / 2**24 * TILE, ((seed >> 16) % 2**24) / 2**24 * TILE
        if _is_clear(x, y, clear, kept, cells):
            kept.append((x, y))
            cells.setdefault((int(x // 4), int(y // 4)), []).append((x, y))
            misses = 0
        else:
            misses += 1
            if misses > 12:
                clear, misses = clear * 0.96, 0
    return tuple((TILE / math.sqrt(i + 1), x, y) for i, (x, y) in enumerate(kept))


def _is_clear(
    x: float, y: float, clear: float, kept: list[Pair], cells: dict[tuple[int, int], list[Pair]]
) -> bool:
    if clear > 4:
        near = kept
    else:
        count = int(TILE // 4)
        column, row = int(x // 4), int(y // 4)
        near = [
            point
            for i in (-1, 0, 1)
            for j in (-1, 0, 1)
            for point in cells.get(((column + i) % count, (row + j) % count), ())
        ]
    for px, py in near:
        dx, dy = abs(px - x), abs(py - y)
        dx, dy = min(dx, TILE - dx), min(dy, TILE - dy)
        if dx * dx + dy * dy < clear * clear:
            return False
    return True
