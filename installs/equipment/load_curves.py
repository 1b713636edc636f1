"""A load chart as curves: gross capacity over radius, a stair for each boom length, and the planned lift.

A stair, because the calculation reads the row of the next longer radius and nothing between two rows.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from installs.drafting.plot import PHONE, WIDE, Axes, Plot, scale_end
from installs.drafting.shapes import Pair, Pen, Round, Stroke
from sitecalc.checks import readable
from sitecalc.inputs import InputError
from sitecalc.lift.chart import (
    Found,
    LiftClass,
    PercentLimits,
    Rating,
    columns_of,
    look_up_in,
    percent_in_words,
)

Stair = tuple[Pair, ...]
PRINTED, READ = Pen("hatch", ink="pencil"), Pen("heavy")
MOST, CRITICAL = Pen("medium", "limit"), Pen("medium", "waiting")
UPWARD = "up-right " + " ".join(f"up-right+{16 * n}" for n in range(1, 9))  # px of names over one another
HIGH, LOW = 300.0, 270.0


@dataclass(frozen=True, kw_only=True)
class Way:
    """A place of the hook on the way of the lift, with the load that the chart counts there."""

    radius_ft: float
    gross_lb: float
    percent: float | None  # None where the chart has nothing for it


@dataclass(frozen=True, kw_only=True)
class Planned:
    """The lift as it is held against the chart; ``found`` is None where the chart has nothing for it."""

    boom_ft: float
    radius_ft: float
    read_ft: float  # with what is kept beyond, and the drift of the load
    gross_lb: float
    found: Found | None
    kind: LiftClass
    limits: PercentLimits
    way: tuple[Way, ...] = ()

    @property
    def percent(self) -> float | None:
        return None if self.found is None else 100 * self.gross_lb / self.found.capacity_lb

    @property
    def fails(self) -> bool:
        return self.kind == LiftClass.NOT_PERMITTED

    @property
    def radii_ft(self) -> tuple[float, float]:
        """Nearest and furthest that the hook is while the lift lasts."""
        every = (self.radius_ft, self.read_ft, *(way.radius_ft for way in self.way))
        return min(every), max(every)


def curves_svg(
    ratings: tuple[Rating, ...],
    planned: Planned | None = None,
    *,
    wide_px: float = WIDE,
    high_px: float = HIGH,
    keys_px: float = 0.0,
    for_print: bool = False,
) -> str:
    """The chart; ValueError where it has no figure. ``keys_px`` as of :meth:`Plot.svg`."""
    if not ratings:
        raise ValueError("a chart without figures")
    stairs = {
        boom: _stair([(r.radius_ft, r.capacity_lb) for r in rows])
        for boom, rows in columns_of(ratings).items()
    }
    read = read_stair(ratings, planned.boom_ft) if planned else ()
    plot = Plot(_axes(ratings, read, planned, (wide_px, high_px)))
    for boom, stair in stairs.items():
        _draw_stair(plot, stair, PRINTED, "chart")
        rows = [(r.radius_ft, r.capacity_lb) for r in ratings if r.boom_ft == boom]
        for row in rows:
            if row[1] <= plot.axes.y_to:
                plot.dot(row, 1.7, "chart")
    if planned is not None and read:
        _limits(plot, read, planned)
        _draw_stair(plot, read, READ, "read")
    _name_booms(plot, stairs, planned.boom_ft if planned else None)
    plot.key(PRINTED, "As printed: a dot is a row, its figure holds back to the row before.")
    if planned is None:
        return plot.svg(
            "Load chart: gross capacity by radius", _told(stairs), for_print=for_print, keys_px=keys_px
        )
    if read:
        plot.key(READ, f"{planned.boom_ft:g} ft boom as it is read: {_how(planned, stairs)}")
        limits = planned.limits
        plot.key(MOST, f"{limits.permitted_to:g} % of it: not permitted above")
        plot.key(CRITICAL, f"{limits.standard_below:g} % of it: critical lift from there")
    _plan(plot, planned)
    title = f"Load chart with the planned lift: {_verdict(planned)}"
    return plot.svg(title, f"{_load_words(planned)} {_told(stairs)}", for_print=for_print, keys_px=keys_px)


def both_svgs(ratings: tuple[Rating, ...], planned: Planned | None = None) -> dict[str, str]:
    """For a page: beside its notes, and on a phone."""
    return {
        "load_chart": curves_svg(ratings, planned),
        "load_chart_narrow": curves_svg(ratings, planned, wide_px=PHONE, high_px=LOW),
    }


def read_stair(ratings: tuple[Rating, ...], boom_ft: float) -> Stair:
    """What the calculation reads at every radius for this boom, also one between two columns; () for none."""
    columns = columns_of(ratings)
    booms = {
        max((b for b in columns if b <= boom_ft), default=None),
        min((b for b in columns if b >= boom_ft), default=None),
    }
    if None in booms:
        return ()
    rows = sorted({r.radius_ft for b in booms if b is not None for r in columns[b]})
    found = []
    for radius in rows:
        try:
            found.append((radius, look_up_in(columns, boom_ft, radius).capacity_lb))
        except InputError:
            continue
    return _stair(found)


def _stair(rows: Sequence[Pair]) -> Stair:
    """From each row back to the one before at its own figure: up to a radius the next longer row counts."""
    points = [rows[0]] if rows else []
    for (before, _), (radius, capacity) in pairwise(rows):
        points += [(before, capacity), (radius, capacity)]
    return tuple(points)


def _axes(ratings: Iterable[Rating], read: Stair, planned: Planned | None, size_px: Pair) -> Axes:
    """As high as what is read and hung: what only shorter booms carry is cut off above."""
    shown = [lb for _, lb in read] or [r.capacity_lb for r in ratings]
    radii = [r.radius_ft for r in ratings]
    if planned is not None:
        shown += [planned.gross_lb, *(way.gross_lb for way in planned.way)]
        radii += planned.radii_ft
    top, near, far = scale_end(max(shown) * 1.03), min(radii), max(radii)
    left, right = 56.0, 16.0
    # the longest boom has its name behind its end
    over = max(far - near, 5.0)
    behind = over * 40 / (size_px[0] - left - right - 60)
    return Axes.of(
        *size_px, left=left, right=right,
        x_from=max(0.0, near - 0.06 * over), x_to=far + behind, y_to=top,
        x_words="radius, ft", y_words="gross capacity, lb",
    )  # fmt: skip


def _draw_stair(plot: Plot, stair: Stair, pen: Pen, layer: str) -> None:
    shown = clipped(stair, plot.axes.y_to)
    if len(shown) > 1:
        plot.line(shown, pen, layer)


def clipped(stair: Stair, top: float) -> Stair:
    """From where it comes into the field, down."""
    inside = [n for n, (_, lb) in enumerate(stair) if lb <= top]
    if not inside or inside[0] == 0:
        return stair if inside else ()
    first = inside[0]
    return ((stair[first][0], top), *stair[first:])


def _limits(plot: Plot, read: Stair, planned: Planned) -> None:
    for percent, pen in ((planned.limits.permitted_to, MOST), (planned.limits.standard_below, CRITICAL)):
        _draw_stair(plot, tuple((ft, lb * percent / 100) for ft, lb in read), pen, f"limit {percent:g}")


def _name_booms(plot: Plot, stairs: dict[float, Stair], chosen: float | None) -> None:
    """Over where each ends, for nothing longer is carried there; the planned one heavy."""
    ends = sorted((stair[-1][1], boom) for boom, stair in stairs.items() if stair[-1][1] <= plot.axes.y_to)
    for capacity, boom in ends:
        at = stairs[boom][-1][0], capacity
        plot.words(at, f"{boom:g} ft", bold=boom == chosen, off_px=4.0, places=UPWARD)


def _plan(plot: Plot, planned: Planned) -> None:
    axes, found = plot.axes, planned.found
    at = (planned.read_ft, planned.gross_lb)
    x, y = plot.px(at)
    if found is not None and found.capacity_lb <= axes.y_to:
        # to what counts, and along it to the row that says so
        row = plot.px((found.radius_ft, found.capacity_lb))
        plot.add("rule", Stroke(((x, y), (x, row[1])), Pen("thin")))
        plot.add("rule", Round(row, 5.0, Pen("medium")))
    near, far = planned.radii_ft
    if far > near:
        foot = axes.y(axes.y_from) - 3
        plot.add("radii", Stroke(((axes.x(near), foot), (axes.x(far), foot)), Pen("over")))
    for one, other in pairwise(planned.way):
        plot.line([(one.radius_ft, one.gross_lb), (other.radius_ft, other.gross_lb)], Pen("thin"), "way")
    for way in planned.way:
        if (way.radius_ft, way.gross_lb) != at:
            plot.dot((way.radius_ft, way.gross_lb), 3.0, "way", hollow=True)
    plot.dot(at, 4.5, "planned")
    _ring(plot, planned)
    plot.take((x - 6, y - 6, x + 6, y + 6))
    plot.words(at, _short(planned), bold=True, off_px=24.0 if planned.fails else 10.0, size=14.0)
    plot.key(None, _load_words(planned), "dot")
    if found is not None:
        plot.key(None, f"{found.in_words}: the next longer radius counts, never a figure between.", "row")
    others = [way for way in planned.way if (way.radius_ft, way.gross_lb) != at]
    if others:
        least = min(others, key=lambda way: way.gross_lb)
        plot.key(None, f"{least.gross_lb:,.0f} lb while flat, and what it comes to on the way up.", "hollow")
    if far > near:
        plot.key(Pen("over"), f"{readable(near)} to {readable(far)} ft: radius of the whole lift.")


def _ring(plot: Plot, planned: Planned) -> None:
    if planned.fails:
        plot.ring((planned.read_ft, planned.gross_lb))
    if planned.way:
        worst = max(planned.way, key=_share)
        at = (worst.radius_ft, worst.gross_lb)
        if _share(worst) > planned.limits.permitted_to and at != (planned.read_ft, planned.gross_lb):
            plot.ring(at)


def _share(way: Way) -> float:
    return math.inf if way.percent is None else way.percent


def _short(planned: Planned) -> str:
    percent = planned.percent
    return "out of the chart" if percent is None else percent_in_words(percent, planned.limits)


def _verdict(planned: Planned) -> str:
    percent = planned.percent
    if percent is None:
        return "not permitted, out of the chart"
    return f"{planned.kind}, {percent_in_words(percent, planned.limits)} of chart"


def _load_words(planned: Planned) -> str:
    taped = f"taped {readable(planned.radius_ft)} ft, read at {readable(planned.read_ft)} ft"
    return f"{planned.gross_lb:,.0f} lb gross, {taped}: {_verdict(planned)}."


def _how(planned: Planned, stairs: dict[float, Stair]) -> str:
    if planned.boom_ft in stairs:
        return "the row's figure."
    shorter = max(b for b in stairs if b < planned.boom_ft)
    longer = min(b for b in stairs if b > planned.boom_ft)
    return f"the lesser of {shorter:g} and {longer:g} ft."


def _told(stairs: dict[float, Stair]) -> str:
    said = [f"{boom:g} ft boom, {_row(stair[0])} to {_row(stair[-1])}" for boom, stair in stairs.items()]
    return f"{'; '.join(said)}."


def _row(at: Pair) -> str:
    return f"{at[1]:,.0f} lb at {at[0]:g} ft"
