"""The crew days over all jobs in sheets by date: the days of a sheet, and the strip of their jobs."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import QuerySet
from django.template.loader import render_to_string
from django.utils.html import format_html
from django.utils.safestring import SafeString

from crew.days.forms import DayFilter
from crew.morning.look_ahead import lines
from crew.morning.office import JobMorning, Morning, load_morning
from crew.morning.sheets import (
    SHEET,
    Sheets,
    asked,
    in_sheets,
    load_row,
    part,
    strip_context,
    strip_rows,
    table_html,
)
from crew.plan.clashes import Clash, DayFact, short
from crew.plan.forms import CrewDayForm
from crew.plan.models import Absence, ClosedDays, Crew, CrewDay
from installs.checklists.live_rows import Row
from installs.jobs.kept import Kept, Stands
from installs.people.requests import PersonRequest
from installs.sent.seen import carried, of_row
from sitecalc.workdays import day_off, holidays_of


@dataclass(frozen=True)
class Planned:
    """A sheet of the crew days as HTML, with the rows that it is made of."""

    sheets: Sheets
    tentative: int  # over all sheets
    head: SafeString
    links: SafeString
    rows: list[Row]
    table: SafeString
    strip_rows: list[Row]
    strip: SafeString
    load: Row
    clashes: SafeString
    fields: SafeString
    asks: SafeString  # the fields of a filter that asks nothing
    foot: SafeString
    issues: Mapping[str, str]  # what an issued plan puts in force, as a form carries it
    unsaid: tuple[Asked, ...]  # days behind of which nobody said what became of them, the oldest
    more_unsaid: int
    closed: tuple[Asked, ...]  # days on which a site is closed
    crews: SafeString
    away: SafeString


@dataclass(frozen=True)
class Asked:
    """A row with a button of its own, and what its form carries of it."""

    row: CrewDay | ClosedDays
    sent: Mapping[str, str]


@dataclass(frozen=True)
class _Sheet:
    days: Sequence[CrewDay]
    jobs: Sequence[JobMorning]


MOST_ASKED = 12  # days behind that are asked for at a time
PLANS = Kept(most=8)
DAYS = Kept(most=5000)
FORMS = Kept(most=4)


def kept_plan(request: PersonRequest, now: datetime, stands: Stands, wanted: DayFilter) -> Planned:
    key = (asked(request), wanted.key, stands)
    planned: Planned = PLANS.get(key, lambda: _planned(request, now, stands, wanted))
    return planned


def _planned(request: PersonRequest, now: datetime, stands: Stands, wanted: DayFilter) -> Planned:
    morning = load_morning(now, request.user, stands)
    by_date = sorted((d for m in morning.jobs for d in m.standing), key=lambda d: (d.on, d.job.number))
    ahead = [d for d in by_date if d.on >= morning.today]
    chosen = wanted.days(by_date, morning.today)
    pages = _sheets(morning, chosen, all_jobs=not wanted.narrows)
    number = min(asked(request), len(pages))
    shown = pages[number - 1]
    sheets = Sheets(number=number, count=len(pages), more=wanted.more)
    window = wanted.window(morning.today)
    clashes = morning.clashes
    table = _day_rows(morning, shown.days)
    rows = strip_rows(shown.jobs, morning, window)
    context = {
        "morning": morning,
        **strip_context(rows, morning, window),
        "sheets": sheets,
        "days": ahead,
        "chosen": chosen if wanted.narrows else None,
        "clashes": clashes,
        "groups": grouped(_of_days(clashes, shown.days)),
        "to_replace": _to_replace(morning),
        "tentative": sum(d.plan_id is None for d in ahead),
    }
    fields, asks = _fields(request, morning, stands)
    unsaid = sorted((d for m in morning.jobs for d in m.unsaid), key=lambda d: (d.on, d.pk))
    return Planned(
        sheets=sheets,
        tentative=sum(d.plan_id is None for d in ahead),
        head=part("crew/days/_head.html", context, request),
        links=part("crew/_sheet_links.html", context, request),
        rows=table,
        table=table_html(table),
        strip_rows=rows,
        strip=part("crew/_strip.html", context, request),
        load=load_row(morning, window),
        clashes=part("crew/days/_clashes.html", context, request),
        fields=fields,
        asks=asks,
        foot=part("crew/days/_foot.html", context, request),
        issues=morning.issued,
        unsaid=_asked(unsaid[:MOST_ASKED]),
        more_unsaid=max(len(unsaid) - MOST_ASKED, 0),
        closed=_asked(_closed(now)),
        crews=part("crew/days/_crews.html", {"crews": _crews()}, request),
        away=part("crew/days/_away.html", {"absences": _absences(now)}, request),
    )


def _asked(rows: Iterable[CrewDay | ClosedDays]) -> tuple[Asked, ...]:
    return tuple(Asked(row, carried(of_row(row))) for row in rows)


def _closed(now: datetime) -> QuerySet[ClosedDays]:
    return ClosedDays.objects.filter(withdrawn_at=None, last_on__gte=now.date()).select_related(
        "job", "made_by", "withdrawn_by"
    )


def _crews() -> QuerySet[Crew]:
    return Crew.objects.filter(archived_on=None).select_related("foreman").prefetch_related("people")


def _absences(now: datetime) -> QuerySet[Absence]:
    return Absence.objects.filter(withdrawn_on=None, last_on__gte=now.date()).select_related("person")


def _sheets(morning: Morning, ahead: Sequence[CrewDay], *, all_jobs: bool) -> list[_Sheet]:
    """Days by date, each sheet with the jobs of its days; with ``all_jobs`` then those without a day ahead,
    finished ones last."""
    by_job = {m.job.pk: m for m in morning.jobs}
    found = [
        _Sheet(days, [by_job[pk] for pk in dict.fromkeys(d.job_id for d in days)])
        for days in in_sheets(ahead)
    ]
    without = [line.morning for line in lines(morning) if all_jobs and not line.morning.ahead]
    last = found.pop() if found else _Sheet((), ())
    room = SHEET - len(last.jobs)
    found.append(_Sheet(last.days, [*last.jobs, *without[:room]]))
    return found + [_Sheet((), jobs) for jobs in in_sheets(without[room:])]


def _of_days(clashes: Sequence[Clash], days: Sequence[CrewDay]) -> list[Clash]:
    """The conflicts of the days of one sheet; one of no day stands on every sheet."""
    keys = {day.pk for day in days}
    return [clash for clash in clashes if not clash.days or not keys.isdisjoint(clash.days)]


@dataclass(frozen=True)
class ClashLine:
    """One sentence, with every date on which it is true."""

    dates: str
    sentence: str


@dataclass(frozen=True)
class ClashGroup:
    """The conflicts of one job, or of people and cranes on two of them."""

    title: str
    count: int
    first: date
    lines: tuple[ClashLine, ...]


def grouped(clashes: Iterable[Clash]) -> list[ClashGroup]:
    """By job, the soonest first; what is said of several dates is said once."""
    found: dict[str, dict[tuple[tuple[str, ...], str], list[date]]] = defaultdict(lambda: defaultdict(list))
    for clash in clashes:
        several = "On two jobs at once" if len(clash.jobs) > 1 else "Cranes"
        title = clash.jobs[0] if len(clash.jobs) == 1 else several
        found[title][clash.jobs, clash.sentence].append(clash.on)
    groups = [
        ClashGroup(
            title,
            sum(map(len, said.values())),
            min(min(dates) for dates in said.values()),
            tuple(ClashLine(_dates(dates), sentence) for (_, sentence), dates in said.items()),
        )
        for title, said in found.items()
    ]
    return sorted(groups, key=lambda group: (group.first, group.title))


def _dates(dates: Iterable[date]) -> str:
    """ "Tue Dec 8, Wed Dec 9" """
    return ", ".join(short(on) for on in sorted(set(dates)))


@dataclass(frozen=True)
class ToReplace:
    """Somebody whom days ahead name though they are away on them, or gone."""

    pk: int
    name: str
    days: int
    why: str


def _to_replace(morning: Morning) -> list[ToReplace]:
    counted: Counter[int] = Counter()
    for day in (day for m in morning.jobs for day in m.ahead):
        for known in (morning.people[pk] for pk in day.people if pk in morning.people):
            counted[known.pk] += known.left or known.away_on(day.on) is not None
    return [
        ToReplace(
            pk, morning.people[pk].name, n, "works with us no more" if morning.people[pk].left else "is away"
        )
        for pk, n in sorted(counted.items(), key=lambda each: morning.people[each[0]].name)
        if n
    ]


def _day_rows(morning: Morning, days: Sequence[CrewDay]) -> list[Row]:
    """A row for each day, drawn again when its job has changed, and one over each week."""
    stands = {m.job.pk: m.stands for m in morning.jobs}
    by_key = {day.pk: day for day in days}
    facts = {fact.pk: fact for m in morning.jobs for fact in m.ahead}
    wanted = {day.pk: stands[day.job_id] for day in days}
    drawn = DAYS.each(wanted, lambda keys: {pk: _day_row(by_key[pk], facts.get(pk)) for pk in keys})
    rows, week = [], date.min
    for pk, day in by_key.items():
        monday = day.on - timedelta(days=day.on.weekday())
        if monday != week:
            week = monday
            # no day's key begins with a zero
            rows.append(Row(f"day-0{monday.toordinal()}", _week_row(monday)))
        rows.append(Row(f"day-{pk}", drawn[pk]))
    return rows


def _week_row(monday: date) -> str:
    return format_html('<th colspan="6" scope="rowgroup" class="week">Week of {}</th>', short(monday))


def _day_row(day: CrewDay, fact: DayFact | None) -> str:
    """``fact``: None of a day behind, which nothing stands against any more."""
    off = day_off(day.on, holidays_of(day.job.state, day.on.year))
    return render_to_string("crew/days/_day_row.html", {"day": day, "fact": fact, "off": off})


def _fields(request: PersonRequest, morning: Morning, stands: Stands) -> tuple[SafeString, SafeString]:
    """An empty form to add a day, and one that asks for days, list every job, crew and person: drawn once
    for the same ones."""
    jobs = tuple((m.job.pk, str(m.job)) for m in morning.jobs)
    key = (stands.database, jobs, stands.of("installs.User", "installs.Crane", "crew.Crew"))
    drawn: tuple[SafeString, SafeString] = FORMS.get(
        key,
        lambda: (
            part("crew/days/_fields.html", {"form": CrewDayForm()}, request),
            part("crew/_schedule_fields.html", {"form": DayFilter()}, request),
        ),
    )
    return drawn
