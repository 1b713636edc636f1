"""Words on a plan stand where no other words stand: of the places they may have, the first that is free."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise

from installs.drafting import Drawing
from installs.drafting.shapes import Lettering, Pair, Round, Stroke

COVERED = 10  # words on words are so much worse than a line through them
# lines that mean something where they run: words, which clear the ground under them, would cut them
HELD = ("property line", "building", "trench", "crane pad", "dimension")
Corners = Sequence[Pair]
Way = Callable[[Drawing], object]


def worded(d: Drawing) -> list[Corners]:
    """What words and numbered circles of a drawing cover, corner by corner, in px."""
    found: list[Corners] = []
    for layer, shape in d.shapes():
        if isinstance(shape, Lettering):
            found.append(shape.box(margin=1.0))
        elif layer == "balloon" and isinstance(shape, Round):
            (x, y), r = shape.center, shape.radius
            found.append(((x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r)))
    return found


def lines(d: Drawing) -> list[Corners]:
    """Straight lines of a drawing, end to end."""
    found: list[Corners] = []
    for _layer, shape in d.shapes():
        if isinstance(shape, Stroke) and not shape.closed:
            found += [(p, q) for p, q in pairwise(shape.points)]
    return found


def held(d: Drawing) -> dict[str, list[Corners]]:
    """Lines and outlines of a drawing that no words are to stand on, by layer."""
    found: dict[str, list[Corners]] = {}
    for layer, shape in d.shapes():
        if layer in HELD and isinstance(shape, Stroke):
            pieces = [shape.points] if shape.closed else list(pairwise(shape.points))
            found.setdefault(layer, []).extend(pieces)
    return found


def place_free(d: Drawing, ways: Iterable[Way]) -> None:
    """Draw in the first of these ways whose words cover no others and cut no line that is held; where none
    is, in the least bad one."""
    taken, kept = worded(d), held(d)
    best: tuple[int, Way] | None = None
    for way in ways:
        tried = Drawing("tried", px_per_ft=d.px_per_ft)
        way(tried)
        words = worded(tried)
        hit = COVERED * sum(meet(a, b) for a in words for b in taken)
        hit += sum(any(meet(a, b) for a in words for b in pieces) for pieces in kept.values())
        hit += sum(meet(line, box) for line in lines(tried) for box in taken)
        if best is None or hit < best[0]:
            best = hit, way
        if hit == 0:
            break
    if best is not None:
        best[1](d)


def meet(a: Corners, b: Corners) -> bool:
    """Whether two convex outlines cover some of the same paper: no line parts them."""
    return not any(_parts(a, b, p, q) for outline in (a, b) for p, q in pairwise([*outline, outline[0]]))


def _parts(a: Corners, b: Corners, p: Pair, q: Pair) -> bool:
    across = (q[1] - p[1], p[0] - q[0])
    ours, theirs = ([x * across[0] + y * across[1] for x, y in corners] for corners in (a, b))
    return max(ours) <= min(theirs) + 1e-9 or max(theirs) <= min(ours) + 1e-9
