"""Crew days a week against the crews there are, under the season schedule. Pure: weeks in, SVG out.

A bar is a rule graduated in crew days: in force, tentative and kept for the weather, one over the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from crew.morning.strip import LEFT_PX, MARGIN_PX
from crew.plan.models import CrewDay
from installs.drafting.letters import NOTE, text_width
from installs.drafting.plot import PHONE, Axes, Plot
from installs.drafting.shapes import Pen, Segments, Stroke
from sitecalc.wording import day_words

WEEK = timedelta(days=7)
A_WEEK = 5  # days that a crew works: Monday to Friday, common practice, no source
HIGH, LOW, WIDE_PX = 110.0, 120.0, 980.0
IN_FORCE, TENTATIVE, WEATHER = (
    Pen("medium", fill="fold"),
    Pen("medium", "tentative"),
    Pen("medium", "waiting"),
)
THERE_ARE, THIN = Pen("heavy", "limit"), Pen("thin")
BAR = 0.7  # of a week's width


@dataclass(frozen=True, kw_only=True)
class Week:
    """Crew days of a week from its Monday: a crew on a job on a date is one. ``crews``: those there are."""

    monday: date
    in_force: int = 0
    tentative: int = 0
    weather: int = 0
    crews: int = 0

    @property
    def taken(self) -> int:
        return self.in_force + self.tentative + self.weather

    @property
    def there_are(self) -> int:
        return A_WEEK * self.crews

    @property
    def words(self) -> str:
        return f"{day_words(self.monday)} {self.taken} of {self.there_are}"


def weeks_of(days: Iterable[CrewDay], ends: Sequence[date | None], first: date, count: int) -> list[Week]:
    """``count`` weeks from the Monday ``first``. ``ends``: of each crew the day it was archived on."""
    found: dict[date, dict[tuple[int, int, date], str]] = {first + n * WEEK: {} for n in range(count)}
    for day in days:
        week = found.get(day.on - timedelta(days=day.on.weekday()))
        if week is None or day.struck_at is not None:
            continue
        planned = "tentative" if day.plan_id is None else "in_force"
        kind = "weather" if day.kind == CrewDay.Kind.WEATHER else planned
        key = (day.crew_id, day.job_id, day.on)
        # of two kinds of work on one day the firmer
        week[key] = max(week.get(key, ""), kind, key=ORDER.index)
    return [
        Week(
            monday=monday,
            crews=sum(end is None or end > monday for end in ends),
            **{kind: sum(each == kind for each in week.values()) for kind in ORDER[1:]},
        )
        for monday, week in found.items()
    ]


ORDER = ("", "weather", "tentative", "in_force")


def load_svg(weeks: Sequence[Week], today: date, *, narrow: bool = False) -> str:
    """Wide it stands column under column of the schedule that is not scrolled; ``narrow`` for a phone."""
    most = max(max(max(w.taken, w.there_are) for w in weeks), 1)
    whole = PHONE if narrow else LEFT_PX + WIDE_PX + MARGIN_PX
    axes = Axes.of(
        whole, LOW if narrow else HIGH, left=34.0 if narrow else LEFT_PX, right=10.0 if narrow else MARGIN_PX,
        x_to=float(len(weeks)), y_to=1.24 * most, y_words="crew days a week", ticks=_ticks(weeks, narrow),
    )  # fmt: skip
    plot = Plot(axes)
    for n, week in enumerate(weeks):
        _bar(plot, n, week)
    _crews(plot, weeks)
    _today(plot, weeks, today)
    for n, week in enumerate(weeks):
        _number(plot, n, week, today)
    plot.key(IN_FORCE, "In force, a tick a crew day: a crew on a job on a date.")
    plot.key(TENTATIVE, "Tentative.")
    plot.key(WEATHER, "Kept free for the weather.")
    plot.key(THERE_ARE, f"{_many(weeks[-1].crews)}, {A_WEEK} days a week each; ringed where more is planned.")
    over = sum(week.taken > week.there_are and week.monday + WEEK > today for week in weeks)
    weeks_over = f"{over or 'no'} week{'' if over == 1 else 's'}"
    title = f"Crew days by week: {weeks_over} with more than the crews can do"
    return plot.svg(title, f"{'; '.join(week.words for week in weeks)}.")


def _many(crews: int) -> str:
    return f"{crews or 'No'} crew{'' if crews == 1 else 's'}"


def _bar(plot: Plot, n: int, week: Week) -> None:
    left, right, foot = n + (1 - BAR) / 2, n + (1 + BAR) / 2, 0
    for count, pen in ((week.in_force, IN_FORCE), (week.tentative, TENTATIVE), (week.weather, WEATHER)):
        if not count:
            continue
        top = foot + count
        plot.field(((left, foot), (right, foot), (right, top), (left, top)), pen, "load")
        ticks = tuple(_tick(plot, left, level) for level in range(foot + 1, top))
        if ticks and plot.axes.y(0) - plot.axes.y(1) >= 2.5:
            plot.add("ticks", Segments(ticks, THIN))
        foot = top


def _tick(plot: Plot, left: float, level: int) -> tuple[tuple[float, float], tuple[float, float]]:
    x, y = plot.px((left, level))
    return (x, y), (x + (7 if level % 5 == 0 else 4), y)


def _crews(plot: Plot, weeks: Sequence[Week]) -> None:
    points = [(n + part, week.there_are) for n, week in enumerate(weeks) for part in (0, 1)]
    plot.line(points, THERE_ARE, "crews")


def _today(plot: Plot, weeks: Sequence[Week], today: date) -> None:
    at = (today - weeks[0].monday).days / 7
    if 0 <= at <= len(weeks):
        x, foot = plot.px((at, 0))
        plot.add("under", Stroke(((x, foot), (x, plot.axes.top)), Pen("medium", "waiting")))


def _number(plot: Plot, n: int, week: Week, today: date) -> None:
    """Over its bar where there is room for it, and ringed where the crews there are could not do it."""
    over = week.taken > week.there_are and week.monday + WEEK > today
    wide = plot.px((1, 0))[0] - plot.px((0, 0))[0]
    x, y = plot.px((n + 0.5, max(week.taken, week.there_are if over else 0)))
    words = f"{week.taken}"
    if week.taken and text_width(words, NOTE) + 2 < wide:
        plot.put((x, y - 5), words, anchor="middle", bold=over)
    if over:
        plot.ring((n + 0.5, week.taken), min(wide * 0.95, 46.0), 26.0)


def _ticks(weeks: Sequence[Week], narrow: bool) -> tuple[tuple[float, str], ...]:
    """Mondays, so many as have room."""
    room = ((PHONE - 44) if narrow else WIDE_PX) / 48
    every = next(n for n in (1, 2, 3, 4, 5, 8, 13, 26) if len(weeks) / n <= room)
    return tuple((float(n), day_words(week.monday)) for n, week in enumerate(weeks) if n % every == 0)
