"""Our own hatches, clipped to their region. Paper-sized: their strokes do not grow with the scale."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from .shapes import Dots, Pair, Pen, Segments, Shape, Stroke
from .stipple import dots_between

KINDS = ("concrete", "earth", "lattice", "steel")
BUNDLE, SMALL_BUNDLE = 12.0, 6.0  # side of the cell that holds one bundle of three strokes
Ring = Sequence[Pair]
Box = tuple[float, float, float, float]


def require(kind: str, maturity: float | None) -> None:
    if kind not in KINDS:
        raise ValueError(f"no hatch is called {kind}: {', '.join(KINDS)}")
    if maturity is not None and not (math.isfinite(maturity) and maturity >= 0):
        raise ValueError("maturity runs from 0 (fresh) to 1 (28 curing days)")


def hatch(kind: str, rings: Sequence[Ring], maturity: float | None) -> list[Shape]:
    """Shapes inside ``rings`` (px; the first is the outline, the others are holes)."""
    require(kind, maturity)
    if kind == "concrete":
        return _concrete(rings, maturity)
    if kind == "earth":
        left, top, right, bottom = _box(rings)
        pitch = min(max(min(right - left, bottom - top) / 2, SMALL_BUNDLE), BUNDLE)
        return [Segments(tuple(_whole(_bundles((left, top, right, bottom), pitch), rings)))]
    if kind == "lattice":
        return [Segments(tuple(_clipped(_crosses(_box(rings)), rings)))]
    return [Segments(tuple(_clipped(_slants(_box(rings), 4.0), rings)))]


def inside(point: Pair, rings: Sequence[Ring]) -> bool:
    """Even-odd rule over all rings."""
    x, y = point
    odd = False
    for ring in rings:
        for (x1, y1), (x2, y2) in _edges(ring):
            if (y1 > y) != (y2 > y) and x < (x2 - x1) * (y - y1) / (y2 - y1) + x1:
                odd = not odd
    return odd


def _edges(ring: Ring) -> Iterator[tuple[Pair, Pair]]:
    return zip(ring, [*ring[1:], ring[0]], strict=True)


def _box(rings: Sequence[Ring]) -> Box:
    values = [value for point in rings[0] for value in point]
    if not values or not all(map(math.isfinite, values)):
        raise ValueError("a hatch needs a region of finite numbers")
    return min(values[::2]), min(values[1::2]), max(values[::2]), max(values[1::2])


def _concrete(rings: Sequence[Ring], maturity: float | None) -> list[Shape]:
    left, top, right, bottom = _box(rings)
    dots = [p for p in dots_between(left, top, right, bottom, maturity) if inside(p, rings)]
    loose = (
        dots
        if maturity is None
        else [p for p in dots_between(left, top, right, bottom, 0.0) if inside(p, rings)]
    )
    # now and then a dot is a stone: one of seventeen fresh ones
    lying = {
        base: stone
        for base, stone in zip(loose[5::17], stones(loose[5::17]), strict=True)
        if all(inside(corner, rings) for corner in stone.points)
    }
    return [Dots(tuple(dot for dot in dots if dot not in lying)), *lying.values()]


def stones(bases: Sequence[Pair]) -> list[Stroke]:
    """A small open three-cornered stone round each of ``bases``, each turned otherwise."""
    found = []
    for index, (x, y) in enumerate(bases):
        tilt, size = (index * 2.4) % math.tau, 2.8 + (index * 7 % 10) / 8
        turns = (0.0, 2.0, 4.3)
        corners = tuple(
            (x + size * math.cos(tilt + turn), y + size * math.sin(tilt + turn)) for turn in turns
        )
        found.append(Stroke(corners, Pen("thin"), closed=True))
    return found


def _bundles(box: Box, pitch: float) -> Iterator[tuple[Pair, Pair]]:
    """Bundles of three strokes at 45 degrees, each turned against its neighbor; each second row shifted."""
    left, top, right, bottom = box
    reach, apart = pitch / 3, pitch / 6
    for row in range(math.ceil((bottom - top) / pitch)):
        y = top + (row + 0.5) * pitch
        for column in range(-1, math.ceil((right - left) / pitch)):
            x = left + (column + (1.0 if row % 2 else 0.5)) * pitch
            rise = 1 if column % 2 else -1
            for shift in (-apart, 0.0, apart):
                # moved across the stroke's own direction, so that the three stay parallel
                cx, cy = x + shift, y + shift * rise
                yield (cx - reach, cy + rise * reach), (cx + reach, cy - rise * reach)


def _whole(pieces: Iterable[tuple[Pair, Pair]], rings: Sequence[Ring]) -> Iterator[tuple[Pair, Pair]]:
    """Strokes that lie inside from end to end: earth has a ragged edge."""
    for piece in pieces:
        a, b = piece
        edges = (edge for ring in rings for edge in _edges(ring))
        crossed = any(1e-6 < t < 1 - 1e-6 for edge in edges for t in _crossing(a, b, edge))
        if not crossed and inside(_along(a, b, 0.5), rings):
            yield piece


def _crosses(box: Box) -> Iterator[tuple[Pair, Pair]]:
    """Bays of two crossing diagonals along the longer side."""
    left, top, right, bottom = box
    if right - left >= bottom - top:
        bays = max(1, round((right - left) / max(bottom - top, 1e-9)))
        for i in range(bays):
            a, b = left + (right - left) * i / bays, left + (right - left) * (i + 1) / bays
            yield (a, top), (b, bottom)
            yield (a, bottom), (b, top)
    else:
        bays = max(1, round((bottom - top) / max(right - left, 1e-9)))
        for i in range(bays):
            a, b = top + (bottom - top) * i / bays, top + (bottom - top) * (i + 1) / bays
            yield (left, a), (right, b)
            yield (right, a), (left, b)


def _slants(box: Box, apart: float) -> Iterator[tuple[Pair, Pair]]:
    left, top, right, bottom = box
    height = bottom - top
    for i in range(math.ceil((right - left + height) / apart)):
        x = left - height + i * apart
        yield (x, bottom), (x + height, top)


def _clipped(pieces: Iterable[tuple[Pair, Pair]], rings: Sequence[Ring]) -> Iterator[tuple[Pair, Pair]]:
    """The parts of the pieces that lie inside the region."""
    for a, b in pieces:
        cuts = sorted(
            {0.0, 1.0, *(t for ring in rings for edge in _edges(ring) for t in _crossing(a, b, edge))}
        )
        for start, end in pairwise(cuts):
            middle = (start + end) / 2
            if end - start > 1e-6 and inside(_along(a, b, middle), rings):
                yield _along(a, b, start), _along(a, b, end)


def _along(a: Pair, b: Pair, t: float) -> Pair:
    return a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t


def _crossing(a: Pair, b: Pair, edge: tuple[Pair, Pair]) -> Iterator[float]:
    (cx, cy), (dx, dy) = edge
    rx, ry, sx, sy = b[0] - a[0], b[1] - a[1], dx - cx, dy - cy
    cross = rx * sy - ry * sx
    if abs(cross) < 1e-12:
        return
    t = ((cx - a[0]) * sy - (cy - a[1]) * sx) / cross
    u = ((cx - a[0]) * ry - (cy - a[1]) * rx) / cross
    if 0 < t < 1 and 0 <= u <= 1:
        yield t
