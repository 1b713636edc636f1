"""Dates promised to owners, and tentative plans made by the machine.

A promised date is never changed: another is another row, and the newest stands. A tentative plan is made
once; it is put down once, or not at all.
"""

from __future__ import annotations

from typing import Any

from django.db import models

from installs.work.models import State
from sitecalc.wording import day_words


class PromisedDate(models.Model):
    """By when a job is to be commissioned, as the owner was told. Without a date: taken back."""

    job = models.ForeignKey("installs.Job", models.PROTECT, related_name="promised_dates")
    on = models.DateField("promised for", null=True, blank=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.job.number} promised for {self.on}"


class TentativePlan(models.Model):
    """What was asked, what it was made from, and what came of it.

    asked
        the hash of the question and of all that it stands on: the same question twice is one plan.
    stands_on
        by what it is of (crew days, people, ...) the hash of what it was made from.
    days, told
        the days as JSON, and what they come to; by hand as soon as there is a plan, then the best found.
    """

    asked = models.CharField(max_length=64, unique=True)
    jobs = models.ManyToManyField("installs.Job", related_name="+")
    until = models.DateField("until")
    why = models.CharField("what happened", max_length=120, blank=True)
    repair = models.BooleanField(default=False)
    terms = models.JSONField(default=dict)
    stands_on = models.JSONField(default=dict)
    days = models.JSONField(default=list)
    told = models.JSONField(default=dict)
    work = models.ForeignKey("installs.WorkRequest", models.PROTECT, null=True, related_name="+")
    made_at = models.DateTimeField()
    made_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    put_down_at = models.DateTimeField(null=True, blank=True)
    put_down_by = models.ForeignKey("installs.User", models.PROTECT, null=True, blank=True, related_name="+")
    plan = models.ForeignKey("crew.Plan", models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(put_down_at=None) | models.Q(put_down_by__isnull=False),
                name="tentative_plan_put_down_by_somebody",
            )
        ]

    def __str__(self) -> str:
        return f"tentative plan {self.pk}"

    @property
    def is_waiting(self) -> bool:
        return self.work is not None and not self.work.is_over

    @property
    def is_made(self) -> bool:
        return self.is_over and bool(self.days)

    @property
    def is_impossible(self) -> bool:
        """Its demands conflict: why is in ``told``."""
        return self.is_over and not self.days

    @property
    def is_over(self) -> bool:
        return self.work is not None and self.work.state == State.DONE

    def shown(self) -> list[tuple[Any, str, str]]:
        """What whoever puts it down has before them."""
        down = day_words(self.put_down_at.date(), year=True) if self.put_down_at else ""
        return [
            ("days", "Days", f"{len(self.days)}, check code {self.told.get('code', '')}"),
            ("down", "Scheduled", down),
        ]


class SeasonChance(models.Model):
    """How many of many seasons keep the promised dates of a plan, or of the crew days as they stand.

    asked
        the hash of all that goes in: days, sites, cures, promises, what is assumed, seed, number of seasons.
    assumed, known
        what was assumed, and how each of it is known, in words.
    told
        what came of it: the same inputs always give the same.
    """

    asked = models.CharField(max_length=64, unique=True)
    of = models.ForeignKey(TentativePlan, models.PROTECT, null=True, blank=True, related_name="chances")
    assumed = models.JSONField(default=dict)
    known = models.JSONField(default=dict)
    told = models.JSONField(default=dict)
    work = models.ForeignKey("installs.WorkRequest", models.PROTECT, null=True, related_name="+")
    made_at = models.DateTimeField()
    made_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"chance {self.pk}"

    @property
    def is_waiting(self) -> bool:
        return self.work is not None and not self.work.is_over
