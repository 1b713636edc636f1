"""The crew days as they leave the screen: the week for the wall on one sheet, and all of them as CSV."""

from __future__ import annotations

import csv
import io
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from crew.days.forms import DayFilter, WeekForm
from crew.plan.models import Absence, CraneBooking, Crew, CrewDay, Plan
from installs.jobs.models import Job
from installs.jobs.phases import BY_KEY
from installs.measures import harmless
from installs.people.access import allow
from installs.people.models import User
from installs.people.requests import PersonRequest
from sitecalc.workdays import holidays_of

# crews that fit on Letter; more of them are printed on tabloid
MOST_ON_LETTER = 4
HEAD = ("date", "job", "owner", "place", "work", "kind", "crew", "people", "crane", "plan", "note")


@dataclass(frozen=True)
class Column:
    on: date
    off: str  # the holiday


@dataclass(frozen=True)
class WallDay:
    day: CrewDay
    people: str  # where they are not the crew's own; else ""


@dataclass(frozen=True)
class CrewWeek:
    crew: Crew
    cells: Sequence[Sequence[WallDay]]  # by column
    people: str  # who is out with it as a rule


def _days() -> Iterable[CrewDay]:
    days = CrewDay.objects.standing().filter(job__archived_on=None)
    related = days.select_related("job", "crew", "crew__foreman", "crane", "plan").prefetch_related("people")
    return related.order_by("on", "job__number", "pk")


def _today() -> date:
    """At the site of the firm's first running job: the firm's own clock is on no record."""
    site, now = Job.objects.active().first(), timezone.now()
    return site.local(now).date() if site else now.date()


@allow("plan crew days")
@require_GET
def wall(request: PersonRequest) -> HttpResponse:
    """``?week=2031-05-19``: crews down, days across, to be printed on one landscape sheet."""
    form = WeekForm(request.GET)
    form.is_valid()
    monday = form.monday(_today())
    last = monday + timedelta(days=6)
    days = [d for d in _days() if monday <= d.on <= last]
    # a Sunday on which nobody works has no column
    length = 7 if any(d.on == last for d in days) else 6
    columns = [Column(on, _holiday(days, on)) for on in (monday + timedelta(days=n) for n in range(length))]
    context = {
        "form": form,
        "columns": columns,
        "crews": (crews := _by_crew(days, columns)),
        "large": len(crews) > MOST_ON_LETTER,
        "monday": monday,
        "before": monday - timedelta(days=7),
        "after": monday + timedelta(days=7),
        "plan": Plan.objects.order_by("-issued_at", "-pk").first(),
        "cranes": CraneBooking.objects.standing()
        .filter(first_on__lte=last, last_on__gte=monday)
        .select_related("crane"),
        "absences": Absence.objects.filter(
            withdrawn_on=None, first_on__lte=last, last_on__gte=monday
        ).select_related("person"),
    }
    return render(request, "crew/days/wall.html", context)


def _holiday(days: Iterable[CrewDay], on: date) -> str:
    """By the states that are worked in this week."""
    found = {holidays_of(state, on.year).get(on, "") for state in {d.job.state for d in days}}
    return ", ".join(sorted(filter(None, found)))


def _by_crew(days: Iterable[CrewDay], columns: Sequence[Column]) -> list[CrewWeek]:
    """Every crew that is in use, also one that has the week free."""
    found: dict[int, dict[date, list[CrewDay]]] = defaultdict(lambda: defaultdict(list))
    rows = Crew.objects.filter(archived_on=None).select_related("foreman").prefetch_related("people")
    crews = {crew.pk: crew for crew in rows}
    for day in days:
        crews.setdefault(day.crew_id, day.crew)
        found[day.crew_id][day.on].append(day)
    by_name = sorted(crews.values(), key=lambda crew: crew.name)
    return [_crew_week(crew, [found[crew.pk][column.on] for column in columns]) for crew in by_name]


def _crew_week(crew: Crew, cells: Sequence[Sequence[CrewDay]]) -> CrewWeek:
    """Who is out is said once, at the crew, and again on a day that others go."""
    own = {crew.foreman, *crew.people.all()}
    told = [
        [WallDay(day, "" if set(day.people.all()) == own else _names(day.people.all())) for day in days]
        for days in cells
    ]
    return CrewWeek(crew, told, _names(own))


def _names(people: Iterable[User]) -> str:
    return ", ".join(sorted(person.full_name for person in people))


@allow("plan crew days")
@require_GET
def days_csv(request: PersonRequest) -> HttpResponse:
    """What the page's filter shows, all sheets of it; a filter that cannot be read leaves nothing out."""
    asked = DayFilter(request.GET)
    asked.is_valid()
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(HEAD)
    for day in asked.days(_days(), _today()):
        writer.writerow([day.on.isoformat(), *map(harmless, _cells(day))])
    answer = HttpResponse(out.getvalue(), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="crew-days.csv"'
    return answer


def _cells(day: CrewDay) -> tuple[str, ...]:
    people = "; ".join(person.full_name for person in day.people.all())
    crane, plan = str(day.crane or ""), day.plan.letter if day.plan else "tentative"
    job, work = day.job, BY_KEY[day.phase].title
    return (job.number, job.owner, job.place, work, day.kind, day.crew.name, people, crane, plan, day.note)
