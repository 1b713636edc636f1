"""Distances along the sheet: to scale, and where they do not fit, a gap between two things is broken."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

Span = tuple[float, float]  # from, to, in feet from the tower


@dataclass(frozen=True, kw_only=True)
class Break:
    """A gap that is drawn shorter than it is. ``left_out_ft`` is what the sheet does not show of it."""

    from_ft: float
    to_ft: float
    drawn_px: float
    left_out_ft: float


@dataclass(frozen=True, kw_only=True)
class Side:
    """One side of the tower. Between ``breaks`` a foot is ``scale`` px."""

    scale: float
    end_ft: float
    breaks: tuple[Break, ...] = ()

    def px(self, feet: float) -> float:
        """How far from the tower's axis it is drawn; within a broken gap evenly over what is drawn of it."""
        lost = 0.0
        for each in self.breaks:
            if feet >= each.to_ft:
                lost += (each.to_ft - each.from_ft) * self.scale - each.drawn_px
            elif feet > each.from_ft:
                share = (feet - each.from_ft) / (each.to_ft - each.from_ft)
                return each.from_ft * self.scale - lost + share * each.drawn_px
        return feet * self.scale - lost

    @property
    def width_px(self) -> float:
        return self.px(self.end_ft)


def gaps_of(solid: Iterable[Span]) -> tuple[list[Span], float]:
    """The empty stretches between things that must be drawn whole, and where the last one ends."""
    gaps: list[Span] = []
    reached = 0.0
    for begin, end in sorted(solid):
        if begin > reached:
            gaps.append((reached, begin))
        reached = max(reached, end)
    return gaps, reached


def laid_out(
    left: Sequence[Span], right: Sequence[Span], *, most_scale: float, width_px: float, kept_px: float
) -> tuple[Side, Side]:
    """Both sides of the tower in ``width_px``, at the largest scale up to ``most_scale`` (px a foot).

    A gap that is broken is drawn ``kept_px`` wide. Nothing is broken where three quarters of the scale hold
    all of it; else the longest gaps are broken first, no more of them than it takes.
    """
    sides = [gaps_of(left), gaps_of(right)]
    whole = width_px / max(1e-9, sum(end for _, end in sides))
    if whole >= 0.75 * most_scale:
        scale = min(most_scale, whole)
        lefts, rights = (Side(scale=scale, end_ft=end) for _, end in sides)
        return lefts, rights
    scale = _scale(sides, most_scale, width_px, kept_px)
    longest = sorted((gap for gaps, _ in sides for gap in gaps), key=lambda gap: gap[0] - gap[1])
    broken: list[Span] = []
    while True:
        lefts, rights = (_side(scale, end, gaps, broken, kept_px) for gaps, end in sides)
        if lefts.width_px + rights.width_px <= width_px + 0.01 or len(broken) == len(longest):
            return lefts, rights
        broken = longest[: len(broken) + 1]


def _side(scale: float, end: float, gaps: list[Span], broken: list[Span], kept_px: float) -> Side:
    breaks = (
        Break(from_ft=a, to_ft=b, drawn_px=kept_px, left_out_ft=b - a - kept_px / scale)
        for a, b in gaps
        if (a, b) in broken and (b - a) * scale > kept_px
    )
    return Side(scale=scale, end_ft=end, breaks=tuple(breaks))


def _scale(sides: list[tuple[list[Span], float]], most: float, width_px: float, kept_px: float) -> float:
    """The largest at which all fits with every gap broken that is longer than a broken one is drawn."""

    def needs(scale: float) -> float:
        gaps = [b - a for of_side, _ in sides for a, b in of_side]
        solid = sum(end for _, end in sides) - sum(gaps)
        return solid * scale + sum(min(gap * scale, kept_px) for gap in gaps)

    low, high = 0.0, most
    if needs(high) <= width_px:
        return high
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if needs(middle) <= width_px else (low, middle)
    return low
