"""The cure chart: temperatures, each day's worth, strength against the line of the gate.

matplotlib is imported inside the functions. A chart of the same record is drawn once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

from installs.drafting.charts import INK, PENCIL, chart, chart_svg
from installs.drafting.stipple import graded_dots
from installs.pour.cure import Cure, CureFacts, NoticeFact, after_pour, curve_share
from sitecalc.pour.curing import FULL_DAY_F, NOTHING_F
from sitecalc.pour.forecast import expected_mean
from sitecalc.pour.maturity import age_by_day, age_rate
from sitecalc.pour.readings import Reading, by_sensor
from sitecalc.pour.strength import CurveCase, forecast_strength

MOST_POINTS = 800
DAYS_AFTER = 3


@dataclass(frozen=True)
class Line:
    """A sensor's temperatures over days from the pour; None breaks the line."""

    name: str
    days: tuple[float, ...]
    temps_f: tuple[float | None, ...]
    air: bool


@dataclass(frozen=True)
class ChartData:
    """Everything the chart shows, hashable. Days are counted from the beginning of the day of the pour."""

    poured_on: date
    lines: tuple[Line, ...]
    coldest: str
    gap_days: float
    silences: tuple[tuple[float, float], ...]
    worths: tuple[float, ...]  # from the day after the pour
    forecast_worths: tuple[float, ...]
    total: float
    required_days: float
    reached_on: date | None
    today: float
    curve: tuple[tuple[float, float], ...]  # day, psi
    forecast_curve: tuple[tuple[float, float], ...]
    required_psi: float | None
    notices: tuple[tuple[float, float, bool], ...]  # day, psi, field-cured
    through: float


def chart_data(cure: Cure, facts: CureFacts, at: datetime) -> ChartData | None:
    """None before the pour, and while no temperature is on record."""
    poured_on = facts.log.poured_on
    if poured_on is None or cure.log is None or not (facts.log.concrete or facts.log.air):
        return None
    zone = ZoneInfo(facts.zone)
    begin = datetime.combine(poured_on, time.min, zone)

    def day_of(instant: datetime) -> float:
        return (instant - begin).total_seconds() / 86400

    concrete = after_pour(facts)
    air = by_sensor([r for r in facts.log.air if r.at >= begin], zone)[0]
    gap_days = (facts.figures.longest_gap_h if facts.figures else 12.0) / 24
    lines = [_line(name, rows, day_of, gap_days, air=False) for name, rows in concrete.items()]
    lines += [_line(name, rows, day_of, gap_days, air=True) for name, rows in air.items()]
    foreseen = cure.forecast.days if cure.forecast else ()
    today = day_of(at)
    ends = [len(cure.log.days), (cure.log.reached_on - poured_on).days if cure.log.reached_on else 0]
    if foreseen:
        ends.append((foreseen[-1].day - poured_on).days)
    recorded = max((line.days[-1] for line in lines), default=0.0)
    if cure.log.reached_on is not None:
        ends[0] = 0  # days after the cure was reached are not drawn
        recorded = min(recorded, ends[1] + DAYS_AFTER)
    through = max(*ends, recorded) + DAYS_AFTER
    curve, forecast_curve = _curves(cure, facts, through, today)
    return ChartData(
        poured_on=poured_on,
        lines=tuple(lines),
        coldest=cure.coldest,
        gap_days=gap_days,
        silences=_silences(concrete.get(cure.coldest, ()), day_of, gap_days),
        worths=tuple(d.worth for d in cure.log.days)[: int(through)],
        forecast_worths=tuple(d.worth for d in foreseen),
        total=cure.log.total,
        required_days=cure.state.days_required,
        reached_on=cure.log.reached_on or (cure.forecast.reached_on if cure.forecast else None),
        today=min(today, through),
        curve=curve,
        forecast_curve=forecast_curve,
        required_psi=cure.state.required_psi,
        notices=tuple(_mark(n) for n in facts.notices),
        through=through,
    )


def _mark(notice: NoticeFact) -> tuple[float, float, bool]:
    return notice.age_days, notice.average_psi, notice.cure == "field"


def _line(name: str, rows: Sequence[Reading], day_of: Any, gap_days: float, *, air: bool) -> Line:
    step = max(1, len(rows) // MOST_POINTS)
    days: list[float] = []
    temps: list[float | None] = []
    for reading in rows[::step]:
        day = day_of(reading.at)
        if days and day - days[-1] > max(gap_days, 1.01 * step * 2 / 24):
            days.append(day)
            temps.append(None)
        days.append(day)
        temps.append(reading.temp_f)
    return Line(name, tuple(days), tuple(temps), air)


def _silences(rows: Sequence[Reading], day_of: Any, gap_days: float) -> tuple[tuple[float, float], ...]:
    days = [day_of(r.at) for r in rows]
    return tuple((a, b) for a, b in pairwise(days) if b - a > gap_days)


def _curves(
    cure: Cure, facts: CureFacts, through: float, today: float
) -> tuple[tuple[tuple[float, float], ...], tuple[tuple[float, float], ...]]:
    """Strength by the mix's curve, by the recorded age and then by expected temperatures: forecasts."""
    figures, poured_on = facts.figures, facts.log.poured_on
    rows = after_pour(facts).get(cure.coldest)
    if figures is None or figures.f28_psi is None or poured_on is None or not rows:
        return (), ()
    a, b = figures.curve
    ages = age_by_day(rows, figures.mix, figures.longest_gap_h, ZoneInfo(facts.zone))
    f28 = figures.f28_psi * curve_share(figures, cure.notice, poured_on, ages)

    def psi(age: float) -> float:
        return f28 * forecast_strength(CurveCase(figures.f28_psi or f28, min(age, 1000.0), a, b)).ratio

    recorded = [(0.0, 0.0)]
    for day, age in ages.items():
        place = (day - poured_on).days + 1.0
        if place <= through:
            recorded.append((min(place, max(today, 0.0)), psi(age)))
    expected = figures.expected(poured_on)
    if expected is None or today >= through:
        return tuple(recorded), ()
    age = list(ages.values())[-1] if ages else 0.0
    place, foreseen = recorded[-1][0], [recorded[-1]]
    while place < through:
        place += 1.0
        age += age_rate(expected_mean(expected, poured_on + timedelta(days=int(place))), figures.mix)
        foreseen.append((place, psi(age)))
    return tuple(recorded), tuple(foreseen)


# --- drawing ----------------------------------------------------------------------------------------


def cure_chart(
    data: ChartData, *, width_in: float = 8.0, height_in: float = 5.2, for_print: bool = False
) -> str:
    """The chart as one ``<svg>``; in print ink only."""
    svg = _drawn(data, width_in, height_in)
    return svg.replace(PENCIL.upper(), "#000000") if for_print else svg


@lru_cache(maxsize=64)
def _drawn(data: ChartData, width_in: float, height_in: float) -> str:
    figure, rows = chart(
        width_in,
        height_in,
        3,
        sharex=True,
        gridspec_kw={"height_ratios": [2.4, 0.6, 1.7]},
    )
    temperatures, worth, strength = rows
    _temperatures(temperatures, data)
    _worths(worth, data)
    _strength(strength, data)
    for axes in rows:
        axes.set_xlim(0, data.through)
        if 0 < data.today < data.through:
            axes.axvline(data.today, color=INK, linewidth=0.5, dashes=(1, 3))
        axes.tick_params(axis="x", length=0 if axes is not strength else 3)
    _dates(strength, data)
    return chart_svg(figure, _said(data))


def _said(data: ChartData) -> str:
    needed = f"; {data.required_psi:,.0f} psi required for the lift" if data.required_psi else ""
    return (
        f"Cure chart: concrete temperatures, {data.total:.1f} of {data.required_days:g} curing days{needed}"
    )


def _temperatures(axes: Any, data: ChartData) -> None:
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
    if data.lines:
        axes.legend(
            loc="lower left",
            bbox_to_anchor=(0, 1),
            ncols=4,
            handlelength=2.2,
            borderaxespad=0,
            fontsize=9,
            frameon=False,
        )
    for first, last in data.silences:
        axes.axvspan(first, last, facecolor="none", edgecolor=PENCIL, hatch="////", linewidth=0)
        words = f"silent {(last - first) * 24:.0f} h"
        axes.annotate(
            words, (last, 0), xycoords=("data", "axes fraction"), xytext=(3, 4),
            textcoords="offset points", color=PENCIL,
        )  # fmt: skip
    for level, words in ((FULL_DAY_F, "50 F: a full curing day"), (NOTHING_F, "32 F: counts nothing")):
        axes.axhline(level, color=INK, linewidth=0.5)
        axes.annotate(
            words, (1, level), xycoords=("axes fraction", "data"), xytext=(0, 3),
            textcoords="offset points", ha="right",
        )  # fmt: skip
    low, high = axes.get_ylim()
    axes.set_ylim(min(low, 20), max(high, 70))
    axes.set_ylabel("F", rotation=0, ha="right", va="center")


def _worths(axes: Any, data: ChartData) -> None:
    counted = [i + 1.5 for i in range(len(data.worths))]
    axes.bar(counted, data.worths, width=0.36, color=INK)
    first = data.today if not data.worths else len(data.worths) + 1
    ahead = [int(first) + i + 0.5 for i in range(len(data.forecast_worths))]
    axes.bar(
        ahead, data.forecast_worths, width=0.36, facecolor="none", edgecolor=INK, linewidth=0.6,
    )  # fmt: skip
    axes.set_ylim(0, 1.9)
    axes.set_yticks([0, 1])
    axes.annotate("curing days, each day's worth", (0, 1.35), xytext=(2, 0), textcoords="offset points")
    if data.reached_on is not None:
        foreseen = bool(data.forecast_worths)
        words = f"{data.required_days:g} on {data.reached_on:%b} {data.reached_on.day}"
        if foreseen:
            words += f" by forecast, {data.total:.1f} today"
    else:
        words = f"{data.total:.1f} of {data.required_days:g} days"
    axes.annotate(words, (data.through, 1.35), ha="right", weight="bold")


def _strength(axes: Any, data: ChartData) -> None:
    top = max(
        [psi for _, psi in (*data.curve, *data.forecast_curve)] + [psi for _, psi, _ in data.notices]
        + [(data.required_psi or 0) * 1.25, 1000.0]
    )  # fmt: skip
    axes.set_ylim(0, top * 1.08)
    _stipple(axes, data, top * 1.08)
    if data.curve:
        axes.plot(*zip(*data.curve, strict=True), color=INK, linewidth=1.2)
    if data.forecast_curve:
        axes.plot(*zip(*data.forecast_curve, strict=True), color=INK, linewidth=0.8, dashes=(5, 3))
    if data.required_psi:
        axes.axhline(data.required_psi, color=INK, linewidth=1.5)
        axes.annotate(
            f"the gate requires {data.required_psi:,.0f} psi, field-cured", (0, data.required_psi),
            xytext=(3, 4), textcoords="offset points",
        )  # fmt: skip
    for day, psi, field_cured in data.notices:
        axes.plot(
            [day], [psi], marker="s", markersize=6, markeredgecolor=INK, linestyle="",
            markerfacecolor=INK if field_cured else "none",
        )  # fmt: skip
        words = f"{psi:,.0f} psi" if field_cured else f"lab {psi:,.0f} psi"
        axes.annotate(words, (day, psi), xytext=(7, -10), textcoords="offset points", weight="bold")
    axes.set_ylabel("psi", rotation=0, ha="right", va="center")
    axes.yaxis.set_major_formatter(lambda value, _place: f"{value:,.0f}")
    if data.curve:
        axes.annotate(
            "curve of the mix: a forecast, not evidence", (1, 1), xycoords="axes fraction", ha="right",
            xytext=(0, -9), textcoords="offset points", color=PENCIL,
        )  # fmt: skip


def _stipple(axes: Any, data: ChartData, top_psi: float) -> None:
    """Dots under the curve that close up with maturity: one path of points, so that the page stays light."""
    if len(data.curve) < 2:
        return
    across, up = 640.0, 150.0
    days = [day for day, _ in data.curve]

    def psi_at(day: float) -> float:
        for (d1, p1), (d2, p2) in pairwise(data.curve):
            if d1 <= day <= d2 and d2 > d1:
                return p1 + (p2 - p1) * (day - d1) / (d2 - d1)
        return 0.0

    full = max(psi for _, psi in data.curve)
    right = across * days[-1] / data.through
    xs: list[float] = []
    ys: list[float] = []
    for x, y in graded_dots(0, 0, right, up, lambda px: 0.7 * psi_at(px / across * data.through) / full):
        day, psi = x / across * data.through, (1 - y / up) * top_psi
        if psi < psi_at(day):
            xs += [day, day + 0.002, float("nan")]
            ys += [psi, psi, float("nan")]
    axes.plot(xs, ys, color=INK, linewidth=0.9, solid_capstyle="round", antialiased=True)


def _dates(axes: Any, data: ChartData) -> None:
    step = 7 if data.through <= 75 else 14 if data.through <= 150 else 30
    places = list(range(0, int(data.through) + 1, step))
    axes.set_xticks(places)
    days = [data.poured_on + timedelta(days=place) for place in places]
    axes.set_xticklabels([f"{day:%b} {day.day}" for day in days], ha="left")
