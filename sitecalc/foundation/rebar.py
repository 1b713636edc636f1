"""The two mats bar by bar: spacing, lengths, ends, laps, weights, chairs and ties."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from sitecalc.cases import same_as
from sitecalc.checks import Step
from sitecalc.formula import Formula
from sitecalc.foundation.bending import BendCase, Dimension, Shape, bend
from sitecalc.foundation.development import TOP_BAR_ABOVE_IN, class_b_lap_in
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.foundation.outline import chord
from sitecalc.foundation.tables import BarValues, bars
from sitecalc.foundation.words import BarSize, Ends, Outline
from sitecalc.inputs import InputError, quantity, require_valid

CHAIR_EVERY_FT = 4.0
TIE_WIRE_LB_PER_TON = 12.0
SPACED = Formula("s", "spacing", "(b - 2*c - db)/(n - 1)", "in")
SPACED_ROUND = Formula("s", "spacing", "(b - 2*c - db)/(n + 1)", "in")
LEAST_BAR_IN = 12.0  # what is left of a bar near the rim of a round pad is not worth placing below this
Mat = Literal["lower", "upper"]
MATS: tuple[Mat, Mat] = ("lower", "upper")
SHAPES: dict[Ends, Shape] = {
    "straight": "straight",
    "90 degree": "two 90 degree ends",
    "180 degree": "two 180 degree ends",
}


@dataclass(frozen=True, kw_only=True)
class MatCase:
    """Two mats, ``count`` bars each way or ``other_count`` of those that run north to south.

    The upper mat is like the lower one where nothing else is said of it; ``upper_count`` without
    ``upper_other_count`` stands for both ways.

    In an octagon or a circle the bars get shorter toward the rim, in steps of ``step_in``; ``side_ft`` is its
    width across flats or its diameter.
    """

    side_ft: float = same_as(FoundationFigures, "side_ft", required=True)
    thickness_ft: float = same_as(FoundationFigures, "thickness_ft", required=True)
    other_side_ft: float | None = same_as(FoundationFigures, "other_side_ft")
    size: BarSize = same_as(FoundationFigures, "bar_size")
    count: int = same_as(FoundationFigures, "bars")
    cover_lower_in: float = same_as(FoundationFigures, "cover_lower_in")
    cover_upper_in: float = same_as(FoundationFigures, "cover_upper_in")
    cover_side_in: float = same_as(FoundationFigures, "cover_side_in")
    fc_psi: float = same_as(FoundationFigures, "fc_psi")
    yield_ksi: float = quantity("ksi", "yield strength of the bars", low=40, high=80, default=60.0)
    stock_ft: float = same_as(FoundationFigures, "stock_ft")
    outline: Outline = same_as(FoundationFigures, "outline")
    other_count: int | None = same_as(FoundationFigures, "bars_other")
    ends: Ends = same_as(FoundationFigures, "bar_ends")
    staggered: bool = same_as(FoundationFigures, "laps_staggered")
    step_in: float = quantity(
        "in", "steps of length toward a rim", low=0.25, high=36, default=6.0, shown_at="outline"
    )
    upper_size: BarSize | None = same_as(FoundationFigures, "upper_bar_size")
    upper_count: int | None = same_as(FoundationFigures, "upper_bars")
    upper_other_count: int | None = same_as(FoundationFigures, "upper_bars_other")

    @property
    def across_ft(self) -> float:
        if self.outline != "rectangle":
            return self.side_ft
        return self.other_side_ft or self.side_ft

    def size_of(self, mat: Mat) -> BarSize:
        return self.upper_size or self.size if mat == "upper" else self.size

    def bar_of(self, mat: Mat) -> BarValues:
        return bars()[self.size_of(mat)]

    def cover_of(self, mat: Mat) -> float:
        return self.cover_lower_in if mat == "lower" else self.cover_upper_in

    def count_of(self, runs: str, mat: Mat) -> int:
        both, other = self.count, self.other_count
        if mat == "upper":
            if self.upper_count is not None:
                both, other = self.upper_count, None
            other = self.upper_other_count or other
        return other if runs == "north to south" and other is not None else both


@dataclass(frozen=True, kw_only=True)
class BarMark:
    """One line of the bar list. ``pieces`` a bar, the longest ``piece_ft`` long to cut, lapped ``lap_in``.

    ``length_ft`` is out to out of the bar as placed. ``cut_ft`` lists every piece of one bar as it is cut;
    ``dimensions`` are those of the bent bar, in out to out.
    """

    mark: str
    mat: str
    runs: str
    size: str
    count: int
    length_ft: float
    pieces: int
    piece_ft: float
    lap_in: float
    spacing_in: float
    weight_lb: float
    shape: str = "straight"
    dimensions: tuple[Dimension, ...] = ()
    bend_in: float = 0.0
    cut_ft: tuple[float, ...] = ()


@dataclass(frozen=True, kw_only=True)
class RebarList:
    """Weight is of all bars with laps; chairs and tie wire are common practice, no source."""

    marks: tuple[BarMark, ...]
    weight_lb: float
    chairs: int
    tie_wire_lb: float


def rebar_list(case: MatCase) -> RebarList:
    """Bars of both mats by mark: lengths in ft, laps and spacing in in, weight in lb, chairs, tie wire in lb.

    Even spaces between the side covers, class B laps of ACI 318-19, 25.5.2.1 (read in secondary copies),
    weights of ASTM A615; chairs and wire are common practice. InputError where the mats have no room.
    """
    require_valid(case)
    require_room(case)
    marks = tuple(
        mark for mat in MATS for way in ("east to west", "north to south") for mark in _marks(case, mat, way)
    )
    weight = sum(m.weight_lb for m in marks)
    across, along = (math.ceil(s / CHAIR_EVERY_FT) for s in (case.side_ft, case.across_ft))
    return RebarList(
        marks=marks,
        weight_lb=weight,
        chairs=2 * across * along,
        tie_wire_lb=math.ceil(weight / 2000 * TIE_WIRE_LB_PER_TON),
    )


def require_room(case: MatCase) -> None:
    """Both mats, two layers each, must fit between the covers."""
    depth = case.thickness_ft * 12
    steel = sum(2 * case.bar_of(mat).diameter_in for mat in MATS)
    needed = case.cover_lower_in + case.cover_upper_in + steel
    if needed > depth:
        raise InputError(
            "cover_upper_in",
            f"leaves no room: covers and two mats need {needed:g} in of {depth:g} in.",
        )


def spacing_in(case: MatCase, bars_run: str, mat: Mat) -> float:
    """Center to center in in of a mat's bars that run that way, laid out evenly between the side covers.

    (b - 2 c - db) / (n - 1). In a circle the outermost bars stand one space inside the rim, where a bar has a
    length. Plane geometry.
    """
    return _spaced(case).value(**_spread(case, bars_run, mat))


def spacing_step(case: MatCase, bars_run: str, mat: Mat) -> Step:
    """The spacing of :func:`spacing_in` with its arithmetic."""
    return _spaced(case).step_of(f"spacing, {mat} mat", **_spread(case, bars_run, mat))


def _spaced(case: MatCase) -> Formula:
    return SPACED_ROUND if case.outline == "circle" else SPACED


def _spread(case: MatCase, bars_run: str, mat: Mat) -> dict[str, float]:
    """What a mat's spacing is worked from, in inches."""
    spread = case.across_ft if bars_run == "east to west" else case.side_ft
    return {
        "b": spread * 12,
        "c": case.cover_side_in,
        "db": case.bar_of(mat).diameter_in,
        "n": case.count_of(bars_run, mat),
    }


def lap_in(size: BarSize, fc_psi: float, yield_ksi: float, *, top: bool) -> float:
    """Class B lap in in, rounded up to the inch; f'c in psi, fy in ksi. As of
    :func:`sitecalc.foundation.development.class_b_lap_in`.
    """
    return float(math.ceil(class_b_lap_in(size, fc_psi, yield_ksi, top=top) - 1e-9))


def bars_for(spread_ft: float, size: BarSize, most_in: float, cover_side_in: float = 3.0) -> int:
    """Bars that keep their spacing: one more than the spaces, ceil((L - 2 c - db) / s)."""
    spread = spread_ft * 12 - 2 * cover_side_in - bars()[size].diameter_in
    return math.ceil(spread / most_in - 1e-9) + 1


def pieces(length_ft: float, stock_ft: float, lap_ft: float) -> tuple[int, float]:
    """(pieces, length of each in ft) of a bar lapped from stock: n = ceil((L - lap) / (stock - lap)).

    All lengths in ft. Arithmetic; InputError for stock no longer than a lap.
    """
    if length_ft <= stock_ft + 1e-9:
        return 1, length_ft
    if lap_ft >= stock_ft:
        raise InputError("stock_ft", f"is no longer than a lap of {lap_ft:.1f} ft.")
    count = math.ceil((length_ft - lap_ft) / (stock_ft - lap_ft) - 1e-9)
    return count, (length_ft + (count - 1) * lap_ft) / count


def staggered(length_ft: float, stock_ft: float, lap_ft: float) -> tuple[float, ...]:
    """Pieces of a bar whose neighbor is turned end for end, so that no two laps lie side by side.

    Whole stock first and the rest last: with a last piece shorter than half the bar by a lap the laps of
    neighbors are clear of each other. InputError where the stock is too short for that.
    """
    count, _each = pieces(length_ft, stock_ft, lap_ft)
    if count == 1:
        return (length_ft,)
    last = length_ft + (count - 1) * lap_ft - (count - 1) * stock_ft
    last = max(last, min(2 * lap_ft, stock_ft))
    first = (length_ft + (count - 1) * lap_ft - last) / (count - 1)
    lengths = (*(first,) * (count - 1), last)
    if _side_by_side(lengths, length_ft, lap_ft):
        raise InputError("staggered", f"cannot be done with {count} pieces from {stock_ft:g} ft.")
    return lengths


def _side_by_side(lengths: tuple[float, ...], length_ft: float, lap_ft: float) -> bool:
    middles = []
    end = 0.0
    for piece in lengths[:-1]:
        end += piece
        middles.append(end - lap_ft / 2)
        end -= lap_ft
    return any(abs(m - (length_ft - n)) < lap_ft - 1e-9 for m in middles for n in middles)


def _marks(case: MatCase, mat: Mat, runs: str) -> list[BarMark]:
    """One mark for bars of one length; in an octagon or circle a letter for each step, longest first."""
    name = f"{'B' if mat == 'lower' else 'T'}{1 if runs == 'east to west' else 2}"
    lengths = _lengths_in(case, mat, runs)
    different = sorted(set(lengths), reverse=True)
    if len(different) == 1:
        return [_mark(case, name, mat, runs, len(lengths), lengths[0] / 12)]
    return [
        _mark(case, f"{name}{_letter(i)}", mat, runs, lengths.count(length), length / 12)
        for i, length in enumerate(different)
    ]


def _letter(index: int) -> str:
    tens, one = divmod(index, 26)
    return (chr(96 + tens) if tens else "") + chr(97 + one)


def _lengths_in(case: MatCase, mat: Mat, runs: str) -> list[float]:
    """Out to out of every bar of one layer; toward a rim rounded down, so that cover is never less."""
    along = (case.side_ft if runs == "east to west" else case.across_ft) * 12 - 2 * case.cover_side_in
    count = case.count_of(runs, mat)
    if case.outline == "rectangle":
        return [along] * count
    bar, space = case.bar_of(mat).diameter_in, spacing_in(case, runs, mat)
    # cover is kept by the corner of the bar's end, half a bar farther out than its middle
    exact = [
        chord(case.outline, along, along, abs(i - (count - 1) / 2) * space + bar / 2) for i in range(count)
    ]
    found = [math.floor(length / case.step_in + 1e-9) * case.step_in for length in exact]
    found = [length for length in found if length >= LEAST_BAR_IN]
    if not found:
        raise InputError("step_in", "is longer than any bar of this pad.")
    return found


def _mark(case: MatCase, name: str, mat: Mat, runs: str, count: int, length_ft: float) -> BarMark:
    size = case.size_of(mat)
    below = case.cover_lower_in if mat == "lower" else case.thickness_ft * 12 - case.cover_upper_in
    lap = lap_in(size, case.fc_psi, case.yield_ksi, top=below > TOP_BAR_ABOVE_IN)
    bent = bend(BendCase(size=size, shape=SHAPES[case.ends], length_in=length_ft * 12))
    whole = length_ft if case.ends == "straight" else bent.order_in / 12
    if case.staggered:
        cut = staggered(whole, case.stock_ft, lap / 12)
    else:
        n, each = pieces(whole, case.stock_ft, lap / 12)
        cut = (each,) * n
    return BarMark(
        mark=name,
        mat=mat,
        runs=runs,
        size=size,
        count=count,
        length_ft=length_ft,
        pieces=len(cut),
        piece_ft=max(cut),
        lap_in=lap if len(cut) > 1 else 0.0,
        spacing_in=spacing_in(case, runs, mat),
        weight_lb=count * sum(cut) * case.bar_of(mat).weight_lb_ft,
        shape=bent.shape,
        dimensions=bent.dimensions,
        bend_in=bent.bend_in,
        cut_ft=cut,
    )
