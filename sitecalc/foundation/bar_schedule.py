"""Every bar of a foundation by mark: both mats, pedestals with ties, dowels, edge bars, chairs."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import cast

from sitecalc.cases import ranged_as, same_as
from sitecalc.foundation.bending import BendCase, Shape, bend, hook
from sitecalc.foundation.cutting import Piece
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.foundation.outline import girth_ft
from sitecalc.foundation.rebar import MATS, BarMark, MatCase, lap_in, rebar_list
from sitecalc.foundation.tables import bars
from sitecalc.foundation.words import BarSize, PedestalForm, TieSize
from sitecalc.inputs import InputError, quantity, require_valid

TOP_TIES_WITHIN_IN = 5.0
TOP_TIES = "ACI 318-19, 10.7.6.1.6: two #4 or three #3 ties within 5 in of the top round anchor bolts"
CHAIR_SPACING_FT = 4.0


@dataclass(frozen=True, kw_only=True)
class PedestalBars:
    """A pedestal over the pad. Its verticals stand on the lower mat on a 90 degree foot."""

    count: int = quantity("", "pedestals alike", low=1, high=20)
    side_ft: float = same_as(FoundationFigures, "pedestal_side_ft", required=True)
    height_ft: float = same_as(FoundationFigures, "pedestal_height_ft", required=True)
    depth_ft: float | None = ranged_as(
        FoundationFigures, "pedestal_side_ft", "other side, if not square", default=None
    )
    form: PedestalForm = same_as(FoundationFigures, "pedestal", default="square")
    size: BarSize = same_as(FoundationFigures, "pedestal_bar_size")
    verticals: int = same_as(FoundationFigures, "pedestal_bars")
    tie_size: TieSize = same_as(FoundationFigures, "tie_size")
    tie_spacing_in: float = same_as(FoundationFigures, "tie_spacing_in")
    cover_in: float = quantity(
        "in",
        "clear cover to the ties and at the top",
        low=1,
        high=6,
        default=2.0,
        shown_at="pedestal_side_ft",
    )

    @property
    def width_in(self) -> float:
        return self.side_ft * 12

    @property
    def depth_in(self) -> float:
        return (self.depth_ft or self.side_ft) * 12

    @property
    def height_in(self) -> float:
        return self.height_ft * 12


@dataclass(frozen=True)
class EdgeBars:
    """U-bars round the rim that close the edge from the lower mat to the upper."""

    size: BarSize = same_as(FoundationFigures, "edge_bar_size", required=True)
    spacing_in: float = same_as(FoundationFigures, "edge_bar_spacing_in")
    leg_in: float | None = quantity(
        "in", "legs out to out; without it a lap and the bend", low=6, high=120, default=None
    )


@dataclass(frozen=True, kw_only=True)
class ExtraBars:
    """Any other bars: dowels, trimmers, bars of anchor groups."""

    mark: str = quantity("", "bar mark")
    words: str = quantity("", "what they are and where they go")
    size: BarSize = quantity("", "bar size")
    count: int = quantity("", "how many", low=1, high=2_000)
    shape: Shape = quantity("", "shape", default="straight")
    length_in: float = quantity("in", "out to out", low=4, high=720, default=48.0)
    leg_in: float | None = quantity("in", "first leg out to out", low=1, high=240, default=None)
    other_leg_in: float | None = quantity("in", "second leg out to out", low=1, high=240, default=None)


@dataclass(frozen=True)
class ScheduleCase:
    mats: MatCase = quantity("", "both mats")
    pedestals: PedestalBars | None = quantity("", "pedestals", default=None)
    edge: EdgeBars | None = quantity("", "bars round the edge", default=None)
    extra: tuple[ExtraBars, ...] = quantity("", "dowels and other bars", default=())


@dataclass(frozen=True)
class Chairs:
    where: str
    height_in: float
    count: int


@dataclass(frozen=True, kw_only=True)
class SizeWeight:
    size: str
    pieces: int
    length_ft: float
    weight_lb: float


@dataclass(frozen=True)
class BarSchedule:
    """``pieces`` is what a cutting plan takes; ``notes`` what a bar list must say beside its figures."""

    marks: tuple[BarMark, ...]
    by_size: tuple[SizeWeight, ...]
    weight_lb: float
    chairs: tuple[Chairs, ...]
    pieces: tuple[Piece, ...]
    notes: tuple[str, ...]


def bar_schedule(case: ScheduleCase) -> BarSchedule:
    """Every bar by mark, with lengths in ft, weights in lb, chairs and what is cut.

    Mats as :func:`sitecalc.foundation.rebar.rebar_list`, hooks and laps of ACI 318-19 (read in secondary
    copies); ties and chairs as the constants of this module say. InputError where a foot of a pedestal's bars
    has no depth.
    """
    require_valid(case)
    listed = rebar_list(case.mats)
    marks = [*listed.marks]
    notes = []
    if case.edge is not None:
        marks.append(_edge(case.mats, case.edge))
    if case.pedestals is not None:
        marks += _pedestals(case.mats, case.pedestals)
        notes.append(f"Ties: {TOP_TIES} (clause not verified).")
    marks += [_extra(bar) for bar in case.extra]
    _require_different(marks)
    if any(m.lap_in for m in marks):
        placed = "staggered" if case.mats.staggered else "side by side"
        notes.append(f"Laps class B, {placed}; upper bars lap longer than lower ones.")
    return BarSchedule(
        marks=tuple(marks),
        by_size=_by_size(marks),
        weight_lb=sum(m.weight_lb for m in marks),
        chairs=_chairs(case.mats),
        pieces=tuple(_pieces(marks)),
        notes=tuple(notes),
    )


def _edge(mats: MatCase, edge: EdgeBars) -> BarMark:
    """Round the rim at even spaces; the back spans from under the lower mat to over the upper."""
    back = mats.thickness_ft * 12 - mats.cover_lower_in - mats.cover_upper_in
    around = girth_ft(mats.outline, mats.side_ft, mats.across_ft) * 12
    count = math.ceil(around / edge.spacing_in - 1e-9)
    lap = lap_in(edge.size, mats.fc_psi, mats.yield_ksi, top=True)
    leg = lap + hook(edge.size, 90).bend_in / 2 if edge.leg_in is None else edge.leg_in
    bent = BendCase(size=edge.size, shape="two 90 degree ends", length_in=back, leg_in=leg, other_leg_in=leg)
    return _line("U1", "edge", "round the edge", count, bent, around / count)


def _pedestals(mats: MatCase, ped: PedestalBars) -> list[BarMark]:
    mat, db = mats.bar_of("lower").diameter_in, bars()[ped.size].diameter_in
    tie = bars()[ped.tie_size].diameter_in
    # the feet stand on the two layers of the lower mat
    down = mats.thickness_ft * 12 - mats.cover_lower_in - 2 * mat
    if down < hook(ped.size, 90).bend_in / 2 + db:
        raise InputError("mats.cover_lower_in", "leaves no depth for the feet of the verticals.")
    vertical = BendCase(
        size=ped.size, shape="one 90 degree end", length_in=ped.height_in - ped.cover_in + down
    )
    width = ped.width_in - 2 * ped.cover_in
    depth = ped.depth_in - 2 * ped.cover_in
    shape: Shape = "round tie" if ped.form == "round" else "closed tie"
    ties = BendCase(
        size=ped.tie_size, shape=shape, length_in=width, depth_in=None if ped.form == "round" else depth
    )
    room = ped.width_in - 2 * (ped.cover_in + tie) - db
    around = math.pi * room if ped.form == "round" else 2 * (room + depth - 2 * tie - db)
    return [
        _line("P1", "pedestal", "verticals", ped.count * ped.verticals, vertical, around / ped.verticals),
        _line("P2", "pedestal", "ties", ped.count * _ties(ped, down), ties, ped.tie_spacing_in),
    ]


def _ties(ped: PedestalBars, down: float) -> int:
    """At even spaces from the top of pad up, two or three in the top 5 in, and two in the pad to hold the
    verticals (common practice, no source)."""
    at_top = 3 if ped.tie_size == "#3" else 2
    below_top = max(0.0, ped.height_in - ped.cover_in - TOP_TIES_WITHIN_IN)
    in_pad = 2 if down >= 12 else 1
    return at_top + math.ceil(below_top / ped.tie_spacing_in - 1e-9) + in_pad


def _extra(bar: ExtraBars) -> BarMark:
    case = BendCase(
        size=bar.size,
        shape=bar.shape,
        length_in=bar.length_in,
        leg_in=bar.leg_in,
        other_leg_in=bar.other_leg_in,
    )
    return _line(bar.mark, "extra", bar.words, bar.count, case, 0.0)


def _line(mark: str, mat: str, runs: str, count: int, case: BendCase, spacing: float) -> BarMark:
    bent = bend(case)
    cut = (bent.cut_in if case.shape == "straight" else bent.order_in) / 12
    return BarMark(
        mark=mark,
        mat=mat,
        runs=runs,
        size=case.size,
        count=count,
        length_ft=case.length_in / 12,
        pieces=1,
        piece_ft=cut,
        lap_in=0.0,
        spacing_in=spacing,
        weight_lb=count * cut * bars()[case.size].weight_lb_ft,
        shape=bent.shape,
        dimensions=bent.dimensions,
        bend_in=bent.bend_in,
        cut_ft=(cut,),
    )


def _require_different(marks: list[BarMark]) -> None:
    names = [m.mark for m in marks]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice:
        raise InputError("extra", f"has the mark {twice}, which is taken.")


def _by_size(marks: list[BarMark]) -> tuple[SizeWeight, ...]:
    found: dict[str, SizeWeight] = {}
    for m in marks:
        now = found.get(m.size, SizeWeight(size=m.size, pieces=0, length_ft=0.0, weight_lb=0.0))
        found[m.size] = replace(
            now,
            pieces=now.pieces + m.count * m.pieces,
            length_ft=now.length_ft + m.count * sum(m.cut_ft),
            weight_lb=now.weight_lb + m.weight_lb,
        )
    return tuple(found[size] for size in bars() if size in found)


def _chairs(mats: MatCase) -> tuple[Chairs, ...]:
    """One to 4 ft each way under each mat: low ones under the lower mat, high ones stand on it."""
    steel = sum(2 * mats.bar_of(mat).diameter_in for mat in MATS)
    count = math.ceil(mats.side_ft / CHAIR_SPACING_FT) * math.ceil(mats.across_ft / CHAIR_SPACING_FT)
    between = mats.thickness_ft * 12 - mats.cover_lower_in - mats.cover_upper_in - steel
    return (
        Chairs("under the lower mat", mats.cover_lower_in, count),
        Chairs("on the lower mat, under the upper", between, count),
    )


def _pieces(marks: list[BarMark]) -> list[Piece]:
    """What is cut: pieces of one mark and one length together, to the sixteenth of an inch."""
    found: dict[tuple[str, BarSize, float], int] = {}
    for m in marks:
        for cut in m.cut_ft:
            key = (m.mark, cast(BarSize, m.size), round(cut * 12 * 16) / 16)
            found[key] = found.get(key, 0) + m.count
    return [Piece(mark, size, length, count) for (mark, size, length), count in found.items()]
