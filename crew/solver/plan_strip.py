"""A tentative plan as a strip: jobs down, days across, and under them the days of each crane and crew.

In the language of the season schedule (crew/morning/strip.py), whose rows and head these are. Pure.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from crew.morning.strip import (
    FOOT_PX,
    HEAD_PX,
    LABEL_PX,
    MARGIN_PX,
    ROW_PX,
    UNDER,
    Scale,
    Span,
    StripRow,
    frame_svg,
    placed,
    row_svg,
)
from crew.plan.order import LIFTS
from installs.drafting import marks
from installs.drafting.labels import Labels
from installs.drafting.letters import ROUTED, wrapped
from installs.drafting.shapes import Lettering, Pen, Shape, Stroke
from installs.drafting.svg import svg_document, svg_fragment
from installs.jobs.phases import BY_KEY
from sitecalc.wording import day_words

DAY = timedelta(days=1)
# kind of mark, label, rank of the label: as the season schedule draws them
KINDS = {
    "excavation": ("excavation", "dig and rebar", 3),
    "pour": ("pour", "pour, cure", 2),
    "tower assembly": ("lattice", "assemble", 4),
    "ground station": ("wiring", "wiring", 6),
    "tower lift": ("hook", "tower lift", 1),
    "turbine lift": ("hook", "turbine lift", 2),
    "commissioning": ("commissioning", "commission", 5),
}
POINTS = ("tower lift", "turbine lift", "commissioning", "pour")  # each of their days has a mark
WHO_PX, WHO_HEAD_PX = 44.0, 30.0  # of a crane's or a crew's row, and above the first
LIMIT, THIN, MEDIUM = Pen("medium", "limit"), Pen("thin"), Pen("medium")
SOLID = Pen("thin", fill="ink")


@dataclass(frozen=True, kw_only=True)
class Day:
    """A day of the plan as it is drawn. ``moved_from`` is the date that stands, where it is another."""

    job: str
    phase: str
    on: date
    weather: bool = False
    crew: str = ""
    crane: str = ""
    moved_from: date | None = None


@dataclass(frozen=True, kw_only=True)
class JobRow:
    """``late`` [days]: how much later than promised it ends; None where it has no end."""

    number: str
    owner: str = ""
    promised: date | None = None
    cured: date | None = None
    late: int | None = None


@dataclass(frozen=True, kw_only=True)
class Strip:
    svg: str
    words: str
    begins: float  # px of its first day, for a narrow screen


def plan_strip(
    jobs: Sequence[JobRow], days: Sequence[Day], today: date, title: str, over: tuple[date, date]
) -> Strip:
    """Of days that are not none. ``over`` are the first and the last that are shown: strips side by side."""
    first, last = over[0], max(over[1], *(j.promised for j in jobs if j.promised), over[0])
    begins = first - timedelta(days=first.weekday())
    weeks = (last - begins).days // 7 + 1
    scale = Scale(begins, weeks * 7)
    drawn = [frame_svg(len(jobs), begins, scale.days, today)]
    for n, job in enumerate(jobs):
        mine = [d for d in days if d.job == job.number]
        row = row_svg(_row(job, mine), begins, scale.days) + svg_fragment(_margin(job, mine, scale))
        drawn.append(f'<g transform="{placed(n)}">{row}</g>')
    top = HEAD_PX + ROW_PX * len(jobs) + FOOT_PX
    below, high = _below(days, scale, top)
    drawn.append(svg_fragment(below))
    words = said(jobs, days)
    svg = svg_document(
        (),
        title=f"{title}, {day_words(begins, long=True)} and {weeks} weeks on, {len(jobs)} jobs",
        description=words,
        box=(0, 0, scale.right + MARGIN_PX, high),
        inside="".join(drawn),
    )
    return Strip(svg=svg, words=words, begins=scale.x(begins))


def _row(job: JobRow, days: Sequence[Day]) -> StripRow:
    return StripRow(number=job.number, owner=job.owner, spans=tuple(_spans(job, days)))


def _spans(job: JobRow, days: Sequence[Day]) -> list[Span]:
    found: list[Span] = []
    work = sorted((d for d in days if not d.weather), key=lambda d: (d.phase, d.on))
    for phase, run in groupby(work, key=lambda d: d.phase):
        mine = [d.on for d in run]
        kind, label, rank = KINDS[phase]
        if phase in POINTS:
            found += [Span(kind, on, on, label if on == mine[0] else "", True, rank=rank) for on in mine]
            continue
        for part in _runs(mine):
            named = label if part[0] == mine[0] else ""
            found.append(Span(kind, part[0], part[-1], named, True, rank=rank))
    poured = max((d.on for d in work if d.phase == "pour"), default=None)
    if job.cured and (start := poured or min((d.on for d in work), default=None)) and job.cured > start + DAY:
        found.append(Span("cure", start + DAY, job.cured - DAY, "", True, rank=3))
    found += [Span("weather", d.on, d.on) for d in days if d.weather]
    found += [Span("struck", d.moved_from, d.moved_from) for d in days if d.moved_from and not d.weather]
    return found


def _runs(dates: Sequence[date]) -> list[list[date]]:
    """Dates in a row, each the day after the one before it."""
    found: list[list[date]] = []
    for on in dates:
        if found and on - found[-1][-1] == DAY:
            found[-1].append(on)
        else:
            found.append([on])
    return found


def _moved(days: Sequence[Day]) -> str:
    """What moves, a lift first: "Tower lift Dec 2 to Dec 1, 2 more"."""
    moved = sorted(
        (d for d in days if d.moved_from and not d.weather), key=lambda d: (d.phase not in LIFTS, d.on)
    )
    if not moved or moved[0].moved_from is None:
        return ""
    more = f", {len(moved) - 1} more" if len(moved) > 1 else ""
    title = BY_KEY[moved[0].phase].title
    return f"{title} {day_words(moved[0].moved_from)} to {day_words(moved[0].on)}{more}"


def _margin(job: JobRow, days: Sequence[Day], scale: Scale) -> list[tuple[str, Shape]]:
    """What moves; and behind the promised day a limit, with whether it is held."""
    x = scale.right + 14
    lines = wrapped(_moved(days), MARGIN_PX - 14, LABEL_PX)[:3]
    found: list[tuple[str, Shape]] = [
        ("strip", Lettering((x, 16.0 + 14 * n), line, LABEL_PX)) for n, line in enumerate(lines)
    ]
    if job.promised is None:
        return found
    at = scale.x(job.promised + DAY)
    words = f"promised {day_words(job.promised)}, {_held(job)}"
    return [
        *found,
        (UNDER, Stroke(((at, 2), (at, ROW_PX - 2)), LIMIT)),
        ("strip", Lettering((x, ROW_PX - 6), words, LABEL_PX)),
    ]


def _held(job: JobRow) -> str:
    if job.late is None:
        return "not planned"
    return "kept" if job.late <= 0 else f"{_many(job.late)} late"


def _below(days: Sequence[Day], scale: Scale, top: float) -> tuple[list[tuple[str, Shape]], float]:
    """The rows of cranes and crews; a weather day is taken too, and drawn as its four corners."""
    found: list[tuple[str, Shape]] = []
    y = top + WHO_HEAD_PX
    for title, who in (("Crane days", _by(days, "crane")), ("Crew days", _by(days, "crew"))):
        if not who:
            continue
        found.append(("names", Lettering((0, y - 8), title, 14, family=ROUTED)))
        found.append(("strip", Stroke(((0, y), (scale.right + MARGIN_PX, y)), MEDIUM)))
        for name, mine in who.items():
            found += _who(name, mine, scale, y)
            y += WHO_PX
        y += WHO_HEAD_PX
    return found, y - WHO_HEAD_PX + 8


def _by(days: Sequence[Day], what: str) -> Mapping[str, list[Day]]:
    found: dict[str, list[Day]] = {}
    for day in sorted(days, key=lambda d: (getattr(d, what), d.on)):
        if getattr(day, what):
            found.setdefault(getattr(day, what), []).append(day)
    return found


def _who(name: str, days: Sequence[Day], scale: Scale, y: float) -> list[tuple[str, Shape]]:
    """Of a crane or a crew: a block for each day, with the last of the job's number where there is room."""
    base, wide = y + WHO_PX - 7, scale.day_px
    shapes: list[Shape] = [Stroke(((0, y + WHO_PX), (scale.right + MARGIN_PX, y + WHO_PX)), THIN)]
    for day in days:
        x = scale.x(day.on)
        if day.weather:
            shapes += marks.weather_day(x + 0.5, base - 8, wide - 1, 8)
        else:
            shapes.append(marks.box(x + 0.5, base - 8, wide - 1, 8, SOLID))
    labels = Labels(most=scale.right)
    for job, run in groupby((d for d in days if not d.weather), key=lambda d: d.job):
        text = job.rpartition("-")[2]
        at = labels.place(scale.x(next(run).on), text, LABEL_PX)
        if at is not None:
            shapes.append(Lettering((at, base - 10), text, LABEL_PX))
    many = len({d.on for d in days if not d.weather})
    free = len({d.on for d in days if d.weather})
    shapes.append(
        Lettering((scale.right + 14, base), _many(many) + (f", {free} kept free" if free else ""), LABEL_PX)
    )
    # a line of its own, so that it stays in sight over a strip that is scrolled and hides none of it
    names: list[Shape] = [Lettering((0, y + 14), name, 13)]
    return [*(("strip", s) for s in shapes), *(("names", s) for s in names)]


def _many(days: int) -> str:
    return f"{days} day{'' if days == 1 else 's'}"


def said(jobs: Sequence[JobRow], days: Sequence[Day]) -> str:
    """What the strip shows, for whoever does not see it."""
    work = [d for d in days if not d.weather]
    crane_days = len({(d.crane, d.on) for d in days if d.crane})
    moved = sum(d.moved_from is not None for d in work)
    promised = [j for j in jobs if j.promised]
    kept = sum(j.late is not None and j.late <= 0 for j in promised)
    open_ended = sum(j.late is None for j in promised)
    beside = f", {open_ended} without an end" if open_ended else ""
    first, last = min(d.on for d in days), max(d.on for d in days)
    begins, ends = (day_words(on, weekday=True, beside=(first, last)) for on in (first, last))
    dates = f"{kept} of {len(promised)} promised dates kept{beside}" if promised else "no date promised"
    moves = f"{_many(moved)} {'moves' if moved == 1 else 'move'}"
    return f"{begins} to {ends}: {len(work)} crew days, {crane_days} crane days, {moves}, {dates}."
