"""Crews, absences, plans by letter, crew days, and bookings of cranes.

A moved day is struck and written anew, never changed. A booking is confirmed or cancelled, and never changed
otherwise: each with who and when.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Any

from django.db import models

from installs.jobs.phases import BY_KEY
from sitecalc.wording import clock_words, day_words


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


class ClosedDays(models.Model):
    """Days on which nobody works at a site: the owner is away, the road is closed, calving."""

    job = models.ForeignKey("installs.Job", models.PROTECT, related_name="closed_days")
    first_on = models.DateField("first day")
    last_on = models.DateField("last day")
    why = models.CharField("reason", max_length=80)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey("installs.User", models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["first_on"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(last_on__gte=models.F("first_on")), name="closed_ends_after_start"
            )
        ]

    def __str__(self) -> str:
        first, last = (day_words(day, year=True) for day in (self.first_on, self.last_on))
        return f"{self.job.number} closed {first} to {last}"


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
    crane = models.ForeignKey("installs.Crane", models.PROTECT, null=True, blank=True, related_name="+")
    plan = models.ForeignKey(Plan, models.PROTECT, null=True, blank=True, related_name="days")
    made_at = models.DateTimeField()
    made_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    moved_from = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="moved_to")
    struck_at = models.DateTimeField(null=True, blank=True)
    struck_by = models.ForeignKey("installs.User", models.PROTECT, null=True, blank=True, related_name="+")
    struck_why = models.CharField("reason", max_length=120, blank=True)
    # said of a day behind that nothing else on record tells of
    worked_at = models.DateTimeField("said to have been worked", null=True, blank=True)
    worked_by = models.ForeignKey("installs.User", models.PROTECT, null=True, blank=True, related_name="+")

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


class State(StrEnum):
    REQUESTED = "requested"
    CONFIRMED = "confirmed"
    CANCELLED = "cancelled"


class CraneBookingQuerySet(models.QuerySet["CraneBooking"]):
    def standing(self) -> CraneBookingQuerySet:
        """Requested or confirmed, and not cancelled."""
        return self.filter(cancelled_at=None)


class CraneBooking(models.Model):
    """A crane asked for from a day to a day. Other dates are another booking, and this one cancelled."""

    crane = models.ForeignKey("installs.Crane", models.PROTECT, related_name="bookings")
    first_on = models.DateField("from")
    last_on = models.DateField("to")
    # the clock of the rental's yard: the last moment at which it may be cancelled without being paid
    cancel_by_on = models.DateField("cancel by, day", null=True, blank=True)
    cancel_by_at = models.TimeField("cancel by, hour", null=True, blank=True)
    cost_cents = models.PositiveIntegerField("cost", null=True, blank=True)
    phone = models.CharField("dispatcher's phone", max_length=40, blank=True)
    note = models.CharField(max_length=200, blank=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    confirmed_at = models.DateTimeField(null=True, blank=True)
    confirmed_by = models.ForeignKey("installs.User", models.PROTECT, null=True, blank=True, related_name="+")
    cancelled_at = models.DateTimeField(null=True, blank=True)
    cancelled_by = models.ForeignKey("installs.User", models.PROTECT, null=True, blank=True, related_name="+")
    cancelled_why = models.CharField("reason", max_length=120, blank=True)

    objects = CraneBookingQuerySet.as_manager()

    class Meta:
        ordering = ["first_on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(last_on__gte=models.F("first_on")), name="booking_ends_after_start"
            ),
            models.CheckConstraint(
                condition=models.Q(cancelled_at=None) | ~models.Q(cancelled_why=""),
                name="booking_cancelled_with_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.crane}, {self.dates}"

    @property
    def dates(self) -> str:
        """ "Tue Dec 8 to Wed Dec 9" """
        both = (self.first_on, self.last_on)
        first, last = (day_words(day, weekday=True, beside=both) for day in both)
        return first if self.first_on == self.last_on else f"{first} to {last}"

    @property
    def state(self) -> State:
        if self.cancelled_at:
            return State.CANCELLED
        return State.CONFIRMED if self.confirmed_at else State.REQUESTED

    @property
    def cancel_by(self) -> str:
        """ "Mon Dec 7, 2:00 PM"; the day alone where no hour is known, "" where nothing is."""
        if self.cancel_by_on is None:
            return ""
        hour = f", {clock_words(self.cancel_by_at)}" if self.cancel_by_at else ""
        return day_words(self.cancel_by_on, weekday=True, beside=(self.first_on,)) + hour

    @property
    def cost(self) -> str:
        """ "$2,850" """
        if self.cost_cents is None:
            return ""
        dollars, cents = divmod(self.cost_cents, 100)
        return f"${dollars:,}" + (f".{cents:02}" if cents else "")

    def shown(self) -> list[tuple[Any, str, str]]:
        """What whoever confirms or cancels it has before them."""
        return [
            ("dates", "Booked", self.dates),
            ("state", "State", self.state),
            ("why", "Reason", self.cancelled_why),
        ]
