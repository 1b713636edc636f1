"""The cure chart: temperatures, each day's worth, strength against the line of the gate.

matplotlib is imported inside the functions. A chart of the same record is drawn once.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable
from datetime import timedelta
from functools import lru_cache
from itertools import pairwise
from typing import Any

from installs.drafting.charts import CLEAR, INK, PENCIL, chart, chart_svg
from installs.drafting.dotted import rows_of_dots
from installs.drafting.stipple import TILE, graded_dots
from installs.pour.chart_data import ChartData
from sitecalc.pour.curing import FULL_DAY_F, NOTHING_F
from sitecalc.wording import day_words

ROOMY_IN = 7.0  # below it words stand shorter, or they run into each other
NARROW_IN = 3.1  # on a phone in the job book: what the numbers beside it say is left out
DOT_PT, ACROSS = 0.9, 640.0  # a dot of the stipple; width of the chart in px of its pattern
_PATH, _LONG = re.compile(r' d="[^"]*"'), re.compile(r"(\.\d\d)\d+")  # a hundredth of a point is enough
_SPACED = re.compile(r" *([ML]) *")


def cure_chart(
    data: ChartData, *, width_in: float = 8.0, height_in: float = 6.0, for_print: bool = False
) -> str:
    """The chart as one ``<svg>``; in print ink only."""
    svg = _drawn(data, width_in, height_in)
    return svg.replace(PENCIL.upper(), "#000000") if for_print else svg


@lru_cache(maxsize=64)
def _drawn(data: ChartData, width_in: float, height_in: float) -> str:
    figure, rows = chart(
        width_in,
        height_in,
        4,
        sharex=True,
        gridspec_kw={"height_ratios": [2.4, 0.6, 0.8, 1.8]},
    )
    temperatures, worth, age, strength = rows
    _temperatures(temperatures, data, width_in)
    _worths(worth, data, width_in)
    _age(age, data, width_in)
    _strength(strength, data, width_in)
    for axes in rows:
        axes.set_xlim(0, data.through)
        if 0 < data.today < data.through:
            axes.axvline(data.today, color=INK, linewidth=0.5, dashes=(1, 3))
        axes.tick_params(axis="x", length=0 if axes is not strength else 3)
    _dates(strength, data, width_in)
    svg = _PATH.sub(
        lambda path: _SPACED.sub(r"\1", _LONG.sub(r"\1", path[0])), chart_svg(figure, _said(data))
    )
    across_pt = strength.get_position().width * width_in * 72
    return _dashed(svg, TILE / ACROSS * across_pt)


def _dashed(svg: str, apart_pt: float) -> str:
    """The rows of the stipple as dashes whose round caps are its dots."""
    ink = f'stroke-linecap="round" stroke-width="{DOT_PT:g}"'
    return svg.replace(ink, f'{ink} stroke-dasharray="0.02,{apart_pt - 0.02:.4f}"')


def _said(data: ChartData) -> str:
    needed = f"; {data.required_psi:,.0f} psi required for the lift" if data.required_psi else ""
    return (
        f"Cure chart: concrete temperatures, {data.total:.1f} of {data.required_days:g} curing days{needed}"
    )


def _temperatures(axes: Any, data: ChartData, width_in: float) -> None:
    for line in data.lines:
        temps = [float("nan") if t is None else t for t in line.temps_f]
        coldest = line.name == data.coldest
        axes.plot(
            line.days,
            temps,
            color=PENCIL if line.air else INK,
            linewidth=1.5 if coldest else 0.6,
            dashes=(1, 2) if line.air else (),
            label=f"{line.name}, the coldest governs" if coldest else line.name,
        )
    if data.lines and width_in <= NARROW_IN:
        # room for one name: of the line that governs
        axes.annotate(
            f"heavy: {data.coldest}, the coldest", (0, 1), xycoords="axes fraction", xytext=(0, 4),
            textcoords="offset points",
        )  # fmt: skip
    elif data.lines:
        axes.legend(
            loc="lower left",
            bbox_to_anchor=(0, 1),
            ncols=4,
            handlelength=2.2 if width_in > ROOMY_IN else 1.2,
            columnspacing=2.0 if width_in > ROOMY_IN else 0.8,
            borderaxespad=0,
            fontsize=9,
            frameon=False,
        )
    for first, last in data.silences:
        axes.axvspan(first, last, facecolor="none", edgecolor=PENCIL, hatch="////", linewidth=0)
        words = f"gap {(last - first) * 24:.0f} h"
        axes.annotate(
            words, (last, 0), xycoords=("data", "axes fraction"), xytext=(3, 4),
            textcoords="offset points", color=PENCIL, **CLEAR,
        )  # fmt: skip
    narrow = width_in <= NARROW_IN
    roomy = data.through - data.today > data.through / 4 and width_in > ROOMY_IN
    inside = roomy or narrow
    for level, words in (
        (FULL_DAY_F, "50 F: a full curing day" if roomy else "50 F"),
        (NOTHING_F, "32 F: counts nothing" if roomy else "32 F"),
    ):
        axes.axhline(level, color=INK, linewidth=0.5)
        axes.annotate(
            words, (1, level), xycoords=("axes fraction", "data"), xytext=(0, 3) if inside else (3, -4),
            textcoords="offset points", ha="right" if inside else "left", **CLEAR,
        )  # fmt: skip
    low, high = axes.get_ylim()
    axes.set_ylim(min(low, 20), max(high, 70))
    axes.set_ylabel("F", rotation=0, ha="right", va="center")


def _worths(axes: Any, data: ChartData, width_in: float) -> None:
    counted = [i + 1.5 for i in range(len(data.worths))]
    axes.bar(counted, data.worths, width=0.36, color=INK)
    first = data.today if not data.worths else len(data.worths) + 1
    ahead = [int(first) + i + 0.5 for i in range(len(data.forecast_worths))]
    axes.bar(
        ahead, data.forecast_worths, width=0.36, facecolor="none", edgecolor=INK, linewidth=0.6,
    )  # fmt: skip
    axes.set_ylim(0, 1.9)
    axes.set_yticks([0, 1])
    named = "curing-day credit, day by day" if width_in > ROOMY_IN else "curing days"
    narrow = width_in <= NARROW_IN
    if not narrow:
        axes.annotate(named, (0, 1.35), xytext=(2, 0), textcoords="offset points", **CLEAR)
    if data.reached_on is not None:
        foreseen = bool(data.forecast_worths)
        days = f"{data.required_days:g} days" if narrow else f"{data.required_days:g}"
        words = f"{days} on {day_words(data.reached_on)}"
        if foreseen:
            words += " by forecast" if narrow else f" by forecast, {data.total:.1f} today"
    else:
        words = f"{data.total:.1f} of {data.required_days:g} days"
    axes.annotate(words, (data.through, 1.35), ha="right", weight="bold", **CLEAR)


def _age(axes: Any, data: ChartData, width_in: float) -> None:
    """Equivalent age against the calendar's: under the thin line the pad is younger than its days."""
    shown = [(day, age) for day, age in data.ages if day <= data.through]
    if len(shown) > 1:
        axes.plot(*zip(*shown, strict=True), color=INK, linewidth=1.2)
    most = max([age for _, age in shown] + [1.0])
    end = min(data.through, max(day for day, _ in shown))
    axes.plot([0, end], [0, end], color=PENCIL, linewidth=0.6, dashes=(1, 2))
    axes.set_ylim(0, max(most, min(end, 2 * most)) * 1.5)
    words = f"equivalent age {shown[-1][1]:.1f} days at {data.reference_f:g} F"
    dotted = "" if width_in <= NARROW_IN else "; dotted: calendar days"
    axes.annotate(f"{words}{dotted}", (0, 1), xycoords="axes fraction", xytext=(2, -10),
                  textcoords="offset points", **CLEAR)  # fmt: skip
    axes.set_ylabel("days", rotation=0, ha="right", va="center")


def _strength(axes: Any, data: ChartData, width_in: float) -> None:
    top = max(
        [psi for _, psi in (*data.curve, *data.forecast_curve)]
        + [high for _, _, high in data.band] + [psi for _, psi, _ in data.notices]
        + [(data.required_psi or 0) * 1.25, 1000.0]
    )  # fmt: skip
    # room for the line of words at the top, and for that of a lab's test that stands above its mark
    room = 1.5 if any(_above(notice, data.notices) for notice in data.notices) else 1.22
    axes.set_ylim(0, top * room)
    _stipple(axes, data, top * room)
    for edge in (1, 2):
        if data.band:
            places = [(row[0], row[edge]) for row in data.band]
            axes.plot(*zip(*places, strict=True), color=INK, linewidth=0.8, dashes=(2, 1))
    if data.curve:
        axes.plot(*zip(*data.curve, strict=True), color=INK, linewidth=1.2)
    if data.forecast_curve:
        axes.plot(*zip(*data.forecast_curve, strict=True), color=INK, linewidth=0.8, dashes=(5, 3))
    narrow = width_in <= NARROW_IN
    if data.required_psi:
        axes.axhline(data.required_psi, color=INK, linewidth=1.5)
        asks = "the gate requires" if width_in > ROOMY_IN else "gate"
        unit = "" if narrow else " psi, field-cured"
        axes.annotate(
            f"{asks} {data.required_psi:,.0f}{unit}", (1, data.required_psi),
            xycoords=("axes fraction", "data"), xytext=(-2, -13), textcoords="offset points", ha="right",
            **CLEAR,
        )  # fmt: skip
    for day, psi, field_cured in data.notices:
        axes.plot(
            [day], [psi], marker="s", markersize=6, markeredgecolor=INK, linestyle="",
            markerfacecolor=INK if field_cured else "none",
        )  # fmt: skip
        words = f"{psi:,.0f} psi" if field_cured else f"lab {psi:,.0f} psi"
        # where the chart ends behind it, before its mark
        ends = narrow and day > 0.6 * data.through
        axes.annotate(
            words,
            (day, psi),
            xytext=(-8 if ends else 8, 3 if _above((day, psi, field_cured), data.notices) else -11),
            textcoords="offset points",
            ha="right" if ends else "left",
            weight="bold",
            **CLEAR,
        )
    axes.set_ylabel("psi", rotation=0, ha="right", va="center")
    axes.yaxis.set_major_formatter(lambda value, _place: f"{value:,.0f}")
    band = ", dashed: 8 of 10 pads by its calibration" if data.band and width_in > ROOMY_IN else ""
    mix = "" if narrow else f"curve of the mix{band}: "
    if data.curve:
        axes.annotate(
            f"{mix}a forecast, not evidence", (1, 1), xycoords="axes fraction", ha="right",
            xytext=(0, -9), textcoords="offset points", color=PENCIL, **CLEAR,
        )  # fmt: skip


def _above(notice: tuple[float, float, bool], notices: Iterable[tuple[float, float, bool]]) -> bool:
    """A lab's test beside a field-cured one of about the same day stands above its mark."""
    day, _, field_cured = notice
    return not field_cured and any(field and abs(at - day) < 3 for at, _, field in notices)


def _stipple(axes: Any, data: ChartData, top_psi: float) -> None:
    """Dots under the curve that close up with maturity: rows of dots a tile apart, to be dashed (_dashed)."""
    if len(data.curve) < 2:
        return
    across, up = ACROSS, 150.0
    days = [day for day, _ in data.curve]

    def psi_at(day: float) -> float:
        for (d1, p1), (d2, p2) in pairwise(data.curve):
            if d1 <= day <= d2 and d2 > d1:
                return p1 + (p2 - p1) * (day - d1) / (d2 - d1)
        return 0.0

    full = max(psi for _, psi in data.curve)
    right = across * days[-1] / data.through
    rows: dict[float, list[float]] = defaultdict(list)
    for x, y in graded_dots(0, 0, right, up, lambda px: 0.7 * psi_at(px / across * data.through) / full):
        day, psi = x / across * data.through, (1 - y / up) * top_psi
        if psi < psi_at(day) and not _lettered(day, psi, data, top_psi):
            rows[y].append(x)
    xs: list[float] = []
    ys: list[float] = []
    for y, places in rows.items():
        for first, last in rows_of_dots(places):
            # it ends past its last dot, where the dashes leave a gap
            xs += [place / across * data.through for place in (first, last + TILE / 2)] + [float("nan")]
            ys += [(1 - y / up) * top_psi] * 2 + [float("nan")]
    axes.plot(xs, ys, color=INK, linewidth=DOT_PT, solid_capstyle="round", antialiased=True)


def _lettered(day: float, psi: float, data: ChartData, top_psi: float) -> bool:
    """Where the gate's strength is written, and a test's beside its mark."""
    gate = data.required_psi
    if gate and day > 0.63 * data.through and gate - 0.13 * top_psi < psi < gate:
        return True
    return any(
        at - 0.01 * data.through < day < at + 0.16 * data.through
        and strength - 0.14 * top_psi < psi < strength + 0.05 * top_psi
        for at, strength, _ in data.notices
    )


def _dates(axes: Any, data: ChartData, width_in: float) -> None:
    most = 4 if width_in <= NARROW_IN else 11
    step = next((days for days in (7, 14, 30, 60) if data.through <= most * days), 90)
    places = list(range(0, int(data.through) + 1, step))
    axes.set_xticks(places)
    days = [data.poured_on + timedelta(days=place) for place in places]
    axes.set_xticklabels([day_words(day) for day in days], ha="left")
