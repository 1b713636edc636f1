"""Pages of the next days that the phone fetches while there is signal."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.urls import reverse

from crew.phone.day import DayWork
from crew.plan.models import CrewDay
from installs.checklists.models import JobList
from installs.jobs.models import Job
from installs.jobs.phases import BY_KEY
from installs.people.models import User

DAYS = 7
# cards beside the lists of a phase
CARDS: dict[str, tuple[tuple[str, str, tuple[str, ...]], ...]] = {
    "tower assembly": (("torque-log", "Torque log", ()),),
    "pour": (("pour-card", "Pour card", ()), ("pour-day", "Day of the pour", ())),
    "tower lift": (("lift-card", "Lift card, tower", ("tower",)),),
    "turbine lift": (("lift-card", "Lift card, turbine", ("turbine",)),),
}


@dataclass(frozen=True)
class Page:
    job: Job
    title: str
    on: date
    url: str


def pages_ahead(person: User, today_works: Iterable[DayWork], today: date) -> list[Page]:
    """Lists and cards of this person's crew days in the next week that are not on today's sheet."""
    days = (
        CrewDay.objects.standing()
        .filter(on__gt=today, on__lte=today + timedelta(days=DAYS), people=person, job__archived_on=None)
        .select_related("job")
        .order_by("on")
    )
    lists: dict[int, dict[str, JobList]] = {}
    for kept in JobList.objects.filter(job__in={d.job_id for d in days}):
        lists.setdefault(kept.job_id, {})[kept.key] = kept
    seen = {(w.job.pk, w.phase.key) for w in today_works}
    found = []
    for day in days:
        if (day.job_id, day.phase) in seen or day.phase not in BY_KEY:
            continue
        seen.add((day.job_id, day.phase))
        own = lists.get(day.job_id, {})
        for key in BY_KEY[day.phase].checklists:
            if key in own:
                url = reverse("phone-list", args=[day.job.number, key])
                found.append(Page(day.job, own[key].title, day.on, url))
        for name, title, more in CARDS.get(day.phase, ()):
            found.append(Page(day.job, title, day.on, reverse(name, args=[day.job.number, *more])))
    return found
