"""A tower as a standing beam of Euler-Bernoulli elements: its lateral frequencies and mode shapes.

Consistent mass, Hermite shapes, stiffness and mass integrated through the taper (four Gauss points an
element), head as a rigid body on the top node, foundation as a rotation spring. Units inside: lb, ft, s.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

GRAVITY_FT_S2 = 32.174


@dataclass(frozen=True, kw_only=True)
class Piece:
    """A length of beam between two heights.

    stiffness and weight are functions of the height above the foot (ft): EI in lb-ft2, lb/ft.
    """

    bottom_ft: float
    top_ft: float
    stiffness: Callable[[float], float]
    weight_plf: Callable[[float], float]


@dataclass(frozen=True, kw_only=True)
class Head:
    """A rigid body on top; ``inertia_lb_ft2`` (weight x length squared) is about its own center."""

    weight_lb: float
    above_top_ft: float = 0.0
    inertia_lb_ft2: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Mode:
    """A frequency and the sideways shape at ``heights_ft``, largest movement 1."""

    hz: float
    heights_ft: tuple[float, ...]
    shape: tuple[float, ...]


def modes(
    pieces: tuple[Piece, ...],
    head: Head,
    *,
    count: int = 1,
    elements: int = 8,
    spring_lb_ft: float | None = None,
    with_weight: bool = True,
) -> tuple[Mode, ...]:
    """The first ``count`` lateral modes, lowest first.

    elements
        per piece.
    spring_lb_ft
        rotation spring of the foundation, lb-ft per radian; None holds the foot fixed.
    with_weight
        let the weight above soften the tower (geometric stiffness).

    A tower that buckles under the weight has no frequency: 0 Hz is given, and no shape.
    """
    import numpy as np

    heights = _nodes(pieces, elements)
    size = 2 * len(heights)
    stiff = np.zeros((size, size))
    mass = np.zeros((size, size))
    above = [_weight_above(pieces, head, z) for z in heights]
    index = 0
    for piece in pieces:
        for _ in range(elements):
            bottom, top = heights[index], heights[index + 1]
            block = slice(2 * index, 2 * index + 4)
            k, m = _element(piece, bottom, top)
            stiff[block, block] += k
            mass[block, block] += m
            if with_weight:
                stiff[block, block] -= _softening((above[index] + above[index + 1]) / 2, top - bottom)
            index += 1
    _put_head(stiff, mass, head, with_weight)
    free = list(range(2, size))
    if spring_lb_ft is not None:
        stiff[1, 1] += spring_lb_ft
        free = [1, *free]
    grid = np.ix_(free, free)
    try:
        # M v = K v / (2 pi f)^2 with K = L L^T, for numpy alone: scipy is large in each process
        lower = np.linalg.cholesky(stiff[grid])
    except np.linalg.LinAlgError:
        return (Mode(hz=0.0, heights_ft=tuple(heights), shape=(0.0,) * len(heights)),) * count
    half = np.linalg.solve(lower, mass[grid])
    flexible, vectors = np.linalg.eigh(np.linalg.solve(lower, half.T))
    found = []
    for value, vector in zip(flexible[: -count - 1 : -1], vectors.T[: -count - 1 : -1], strict=True):
        whole = np.zeros(size)
        whole[free] = np.linalg.solve(lower.T, vector)
        sideways = whole[0::2]
        sideways = sideways / sideways[np.argmax(np.abs(sideways))]
        found.append(
            Mode(
                hz=1 / (2 * math.pi * math.sqrt(value)),
                heights_ft=tuple(heights),
                shape=tuple(map(float, sideways)),
            )
        )
    return tuple(found)


def _nodes(pieces: tuple[Piece, ...], elements: int) -> list[float]:
    heights = [pieces[0].bottom_ft]
    for piece in pieces:
        step = (piece.top_ft - piece.bottom_ft) / elements
        heights += [piece.bottom_ft + step * (n + 1) for n in range(elements)]
    return heights


# four Gauss points on 0..1: products of cubic shapes with a taper of low order come out exact
_POINTS = (0.06943184420297371, 0.33000947820757187, 0.6699905217924281, 0.9305681557970263)
_WEIGHTS = (0.17392742256872693, 0.32607257743127307, 0.32607257743127307, 0.17392742256872693)


def _element(piece: Piece, bottom: float, top: float) -> tuple[Any, Any]:
    """Stiffness and consistent mass (slugs) of the element between two heights."""
    import numpy as np

    length = top - bottom
    k, m = np.zeros((4, 4)), np.zeros((4, 4))
    for s, share in zip(_POINTS, _WEIGHTS, strict=True):
        z = bottom + s * length
        shape = np.array(
            [
                1 - 3 * s**2 + 2 * s**3,
                length * (s - 2 * s**2 + s**3),
                3 * s**2 - 2 * s**3,
                length * (s**3 - s**2),
            ]
        )
        bend = np.array([12 * s - 6, length * (6 * s - 4), 6 - 12 * s, length * (6 * s - 2)]) / length**2
        k += share * length * piece.stiffness(z) * np.outer(bend, bend)
        m += share * length * piece.weight_plf(z) / GRAVITY_FT_S2 * np.outer(shape, shape)
    return k, m


def _softening(load_lb: float, length: float) -> Any:
    """Geometric stiffness of an element under a compression of ``load_lb``."""
    import numpy as np

    n = length
    pattern = np.array(
        [
            [36, 3 * n, -36, 3 * n],
            [3 * n, 4 * n * n, -3 * n, -n * n],
            [-36, -3 * n, 36, -3 * n],
            [3 * n, -n * n, -3 * n, 4 * n * n],
        ]
    )
    return load_lb / (30 * n) * pattern


def _put_head(stiff: Any, mass: Any, head: Head, with_weight: bool) -> None:
    """The head moves with the top node: sideways by its movement plus offset times its rotation."""
    m, c = head.weight_lb / GRAVITY_FT_S2, head.above_top_ft
    mass[-2, -2] += m
    mass[-2, -1] += m * c
    mass[-1, -2] += m * c
    mass[-1, -1] += m * c * c + head.inertia_lb_ft2 / GRAVITY_FT_S2
    if with_weight:
        stiff[-1, -1] -= head.weight_lb * c


def _weight_above(pieces: tuple[Piece, ...], head: Head, height: float) -> float:
    load = head.weight_lb
    for piece in pieces:
        load += weight_between(piece, max(height, piece.bottom_ft), piece.top_ft)
    return load


def weight_between(piece: Piece, bottom: float, top: float) -> float:
    """Weight in lb of the part of ``piece`` between two heights in ft; nothing where they are crossed.

    The integral of the weight in lb/ft by four Gauss points, exact for tapers of low order. Statics.
    """
    length = top - bottom
    if length <= 0:
        return 0.0
    parts = zip(_POINTS, _WEIGHTS, strict=True)
    return sum(w * length * piece.weight_plf(bottom + s * length) for s, w in parts)
