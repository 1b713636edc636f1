"""A job in pencil and its crews, for the tests of planning: every date counts from the Monday after next."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any

from django.utils import timezone

from crew.plan.models import Crew, CrewDay
from crew.plan.services import add_day
from installs.checklists.services import copy_lists
from installs.equipment.models import Crane
from installs.jobs.models import Job
from tests.equipment.test_equipment import CRANE
from tests.house.page_forms import PageForm, forms_of
from tests.make import alma, make_card, make_job, make_person, tell_emergency

CARDS = ("lift director", "rigger", "signal person", "climber", "electrician")
FAR = date(2099, 1, 1)


class Season:
    """An office, two crews whose foremen hold every card, and a rented crane."""

    def __init__(self) -> None:
        self.office = alma()
        self.ben, self.tilda = make_person("Ben Osgood"), make_person("Tilda Marsh")
        self.gus = make_person("Gus Pruitt", "crew")
        for person in (self.ben, self.tilda):
            for kind in CARDS:
                make_card(person, kind, FAR)
        self.pad = Crew.objects.create(name="Pad crew", foreman=self.ben)
        self.tower = Crew.objects.create(name="Tower crew", foreman=self.tilda)
        self.crane = self.another_crane("T-7")
        today = timezone.now().date()
        self.monday = today - timedelta(days=today.weekday()) + timedelta(weeks=2)

    def another_crane(self, unit: str) -> Crane:
        fields = {n: v for n, v in CRANE.items() if n in {f.name for f in Crane._meta.concrete_fields}}
        return Crane.objects.create(**{**fields, "unit_number": unit, "owner_firm": "Hale Rigging"})

    def job(self, **fields: Any) -> Job:
        made = make_job(by=self.office, at=timezone.now(), **fields)
        copy_lists(made, by=self.office, at=timezone.now())
        tell_emergency(made)
        return made

    def on(self, days: int) -> date:
        return self.monday + timedelta(days=days)

    def day(self, job: Job, phase: str, days: int, crew: Crew | None = None, **fields: Any) -> CrewDay:
        by = {"by": self.office, "at": timezone.now()}
        return add_day(job, phase, self.on(days), crew or self.pad, **by, **fields)

    def whole(self, job: Job) -> dict[str, CrewDay]:
        """Dig Monday and Tuesday, pour Wednesday, and all that comes after, each with its usual crew."""
        found = {
            "dig": self.day(job, "excavation", 0),
            "dig 2": self.day(job, "excavation", 1),
            "pour": self.day(job, "pour", 2),
            "assembly": self.day(job, "tower assembly", 3, self.tower),
            "wiring": self.day(job, "ground station", 7, self.tower),
            "tower lift": self.day(job, "tower lift", 35, self.tower, crane=self.crane),
            "weather": self.day(job, "tower lift", 36, self.tower, crane=self.crane, kind="weather"),
            "turbine lift": self.day(job, "turbine lift", 37, self.tower, crane=self.crane),
            "commissioning": self.day(job, "commissioning", 38, self.tower),
        }
        return found


def standing(job: Job) -> list[tuple[str, date, str]]:
    days = CrewDay.objects.standing().filter(job=job).order_by("on", "pk")
    return [(day.phase, day.on, day.kind) for day in days]


def at_noon(on: date, job: Job) -> datetime:
    return datetime.combine(on, time(12), job.tz)


def form_at(html: str, path: str, action: str = "") -> PageForm:
    """The form of a page that posts to ``action``, else to the page itself."""
    return next(f for f in forms_of(html, path) if f.action == (action or path))
