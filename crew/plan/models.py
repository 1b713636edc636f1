"""Crews, absences, plans by letter, and crew days. A moved day is struck and written anew, never changed."""

from __future__ import annotations

from django.db import models

from installs.jobs.phases import BY_KEY
from sitecalc.wording import day_words


class Crew(models.Model):
    name = models.CharField(max_length=60, unique=True)
    foreman = models.ForeignKey("installs.User", models.PROTECT, related_name="crews_led")
    people = models.ManyToManyField("installs.User", related_name="crews", blank=True)
    archived_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Absence(models.Model):
    person = models.ForeignKey("installs.User", models.PROTECT, related_name="absences")
    first_on = models.DateField("first day")
    last_on = models.DateField("last day")
    why = models.CharField(max_length=80, blank=True)
    withdrawn_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["first_on"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(last_on__gte=models.F("first_on")), name="absence_ends_after_start"
            )
        ]

    def __str__(self) -> str:
        first, last = (day_words(day, year=True) for day in (self.first_on, self.last_on))
        return f"{self.person} away {first} to {last}"


class Plan(models.Model):
    """An issued plan: a letter over the crew days in force from then on."""

    letter = models.CharField(max_length=3, unique=True)
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    what = models.CharField("what changed", max_length=200)

    class Meta:
        ordering = ["issued_at", "pk"]

    def __str__(self) -> str:
        return f"plan {self.letter}"


class CrewDayQuerySet(models.QuerySet["CrewDay"]):
    def standing(self) -> CrewDayQuerySet:
        """Days that were not struck."""
        return self.filter(struck_at=None)


class CrewDay(models.Model):
    """A crew on a job on a date at the site. Without a plan it is tentative."""

    class Kind(models.TextChoices):
        WORK = "work", "work"
        WEATHER = "weather", "weather day, kept free"

    job = models.ForeignKey("installs.Job", models.PROTECT, related_name="crew_days")
    phase = models.CharField(max_length=20)
    on = models.DateField("date")
    kind = models.CharField(max_length=8, choices=Kind.choices, default=Kind.WORK)
    crew = models.ForeignKey(Crew, models.PROTECT, related_name="days")
    people = models.ManyToManyField("installs.User", related_name="crew_days", blank=True)
    note = models.CharField("first on site, what to bring", max_length=200, blank=True)
    plan = models.ForeignKey(Plan, models.PROTECT, null=True, blank=True, related_name="days")
    made_at = models.DateTimeField()
    made_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    moved_from = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="moved_to")
    struck_at = models.DateTimeField(null=True, blank=True)
    struck_by = models.ForeignKey("installs.User", models.PROTECT, null=True, blank=True, related_name="+")
    struck_why = models.CharField("reason", max_length=120, blank=True)

    objects = CrewDayQuerySet.as_manager()

    class Meta:
        ordering = ["on", "pk"]
        constraints = [
            models.CheckConstraint(condition=models.Q(phase__in=list(BY_KEY)), name="crew_day_phase_known"),
            models.CheckConstraint(
                condition=models.Q(struck_at=None) | ~models.Q(struck_why=""),
                name="crew_day_struck_with_reason",
            ),
            models.UniqueConstraint(
                fields=["job", "phase", "on", "crew"],
                condition=models.Q(struck_at=None),
                name="crew_day_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.crew} on {self.job.number}, {self.on}"
