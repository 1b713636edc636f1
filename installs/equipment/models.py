"""Cranes with their load charts, torque wrenches, slings and shackles; and when each was last found good.

An inspection or calibration is a record of its own, only ever added: what was valid on a past day stays
readable. A load chart is never edited, because lift plans were worked out from it: a new one is added.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any, ClassVar

from django.db import models

from installs.measures import Quantity
from sitecalc.lift.chart import Rating
from sitecalc.wording import day_words

SOON_DAYS = 30


@dataclass(frozen=True)
class Standing:
    """Whether a thing may be used on a day, and that in words; ``soon``: it expires within a month."""

    valid: bool
    words: str
    soon: bool = False


class Equipment(models.Model):
    """What cranes, wrenches and slings have in common."""

    PROOF: ClassVar[str]  # what keeps it valid

    archived_on = models.DateField(null=True, blank=True)
    archived_by = models.ForeignKey("installs.User", models.PROTECT, null=True, blank=True, related_name="+")
    records: Any

    class Meta:
        abstract = True

    def newest_record(self, day: date) -> EquipmentRecord | None:
        """The one that lasts longest of those already made on that day; without an expiry comes last."""
        made: Iterable[EquipmentRecord] = self.records.all()
        known = [r for r in made if r.archived_on is None and r.done_on <= day and not r.lacks]
        return max(known, key=lambda r: (r.expires_on or date.min, r.done_on), default=None)

    def valid_on(self, day: date) -> bool:
        return self.standing(day).valid

    def standing(self, day: date) -> Standing:
        """Unknown never passes: no record, or one without an expiry, is not valid on any day."""
        if self.archived_on is not None and self.archived_on <= day:
            return Standing(False, f"archived {day_words(self.archived_on, year=True)}")
        record = self.newest_record(day)
        if record is None:
            return Standing(False, self._why_none(day))
        if record.expires_on is None:
            return Standing(
                False, f"{self.PROOF} of {day_words(record.done_on, year=True)} has no expiry date"
            )
        if record.expires_on < day:
            return Standing(False, f"{self.PROOF} expired {day_words(record.expires_on, year=True)}")
        soon = (record.expires_on - day).days <= SOON_DAYS
        carried = ", carried over without a number" if record.carried_over else ""
        return Standing(
            True, f"{self.PROOF} expires {day_words(record.expires_on, year=True)}{carried}", soon
        )

    def _why_none(self, day: date) -> str:
        made = [r for r in self.records.all() if r.archived_on is None and r.done_on <= day]
        if not made:
            return f"no {self.PROOF} on record"
        last = max(made, key=lambda r: r.done_on)
        return f"{self.PROOF} of {day_words(last.done_on, year=True)} has {last.lacks}"


class Crane(Equipment):
    """A crane as it comes to the site: dimensions from its maker's manual."""

    PROOF = "annual inspection"

    name = models.CharField("what it is", max_length=60, help_text="55-ton truck crane")
    unit_number = models.CharField("unit or serial number", max_length=40)
    owner_firm = models.CharField("rented from (empty: ours)", max_length=80, blank=True)
    weight_lb = Quantity("weight set up, with counterweight", unit="lb", low=2_000, high=2_000_000)
    pin_height_ft = Quantity("boom pin above grade", unit="ft", low=1, high=30)
    pin_behind_ft = Quantity("boom pin behind the center of rotation", unit="ft", low=-20, high=30)
    boom_depth_ft = Quantity("depth of the boom", unit="ft", low=0.3, high=12)
    block_height_ft = Quantity("hook to top of block", unit="ft", low=0.5, high=20, default=4)
    two_block_ft = Quantity("kept between block and boom tip", unit="ft", low=0.5, high=30, default=5)
    across_ft = Quantity("outrigger pads, side to side", unit="ft", low=4, high=60)
    along_ft = Quantity("outrigger pads, front to rear", unit="ft", low=4, high=60)
    float_ft = Quantity("outrigger pad, side", unit="ft", low=0.3, high=10, default=2)
    tail_swing_ft = Quantity("tail swing radius", unit="ft", low=2, high=60, default=13)

    class Meta:
        ordering = ["name", "unit_number"]
        constraints = [models.UniqueConstraint(fields=["name", "unit_number"], name="crane_once")]

    def __str__(self) -> str:
        return f"{self.name}, {self.unit_number}"


class LoadChart(models.Model):
    """One page of a crane's load chart: good for exactly the set-up its words say."""

    crane = models.ForeignKey(Crane, models.PROTECT, related_name="charts")
    configuration = models.CharField(
        "set-up it is good for",
        max_length=120,
        help_text="outriggers full out, 12,000 lb counterweight, 360 degrees",
    )
    page = models.CharField("page of the chart book", max_length=40, blank=True)
    gust_mph = Quantity("gust it allows", unit="mph", low=5, high=45)
    single_line_lb = Quantity("single-line pull", unit="lb", low=500, high=100_000, null=True, blank=True)
    ratings = models.JSONField(default=list)
    # units of the page where they are not ours: "m, t"; the ratings are kept in feet and pounds
    printed_in = models.CharField("printed in", max_length=20, blank=True)
    sha256 = models.CharField(max_length=64)
    added_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    added_at = models.DateTimeField()
    archived_on = models.DateField(null=True, blank=True)
    archived_by = models.ForeignKey("installs.User", models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["crane", "configuration", "-added_at"]

    def __str__(self) -> str:
        return f"{self.configuration}{f', page {self.page}' if self.page else ''}"

    @property
    def figures(self) -> tuple[Rating, ...]:
        return tuple(Rating(**row) for row in self.ratings)

    @property
    def booms_ft(self) -> list[float]:
        return sorted({row["boom_ft"] for row in self.ratings})

    def grid(self) -> dict[str, Any]:
        """As printed: booms across, radii down; a cell is (capacity, mark), (None, "") for none."""
        at = {(row["radius_ft"], row["boom_ft"]): row["capacity_lb"] for row in self.ratings}
        marks = {(row["radius_ft"], row["boom_ft"]): row.get("mark", "") for row in self.ratings}
        booms = self.booms_ft
        radii = sorted({radius for radius, _boom in at})
        return {
            "booms": booms,
            "marked": any(marks.values()),
            "rows": [
                {"radius": r, "cells": [(at.get((r, b)), marks.get((r, b), "")) for b in booms]}
                for r in radii
            ],
        }


class Wrench(Equipment):
    PROOF = "calibration"

    serial = models.CharField("serial number", max_length=40, unique=True)
    name = models.CharField("what it is", max_length=60)
    low_ft_lb = Quantity("range from", unit="ft-lb", low=1, high=20_000)
    high_ft_lb = Quantity("range to", unit="ft-lb", low=1, high=20_000)

    class Meta:
        ordering = ["serial"]
        verbose_name_plural = "wrenches"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(high_ft_lb__gt=models.F("low_ft_lb")), name="wrench_range_upward"
            )
        ]

    def __str__(self) -> str:
        return f"{self.serial}, {self.name}"


class SlingKind(models.TextChoices):
    WIRE_ROPE = "wire rope", "wire rope sling"
    ROUND = "roundsling", "roundsling"
    WEB = "web", "web sling"
    CHAIN = "chain", "chain sling"
    SHACKLE = "shackle", "shackle"


class Sling(Equipment):
    """A sling or shackle by its tag: what that says for one leg in each hitch, or nothing."""

    PROOF = "inspection"

    tag = models.CharField("tag", max_length=30, unique=True)
    kind = models.CharField(max_length=12, choices=SlingKind.choices)
    rating_lb = Quantity(
        "rating on the tag, one leg vertical", unit="lb", low=100, high=500_000, null=True, blank=True
    )
    choker_lb = Quantity("rating on the tag, choker", unit="lb", low=100, high=500_000, null=True, blank=True)
    basket_lb = Quantity(
        "rating on the tag, basket with both legs plumb",
        unit="lb",
        low=100,
        high=1_000_000,
        null=True,
        blank=True,
    )
    length_ft = Quantity("length", unit="ft", low=0.2, high=200, null=True, blank=True)
    weight_lb = Quantity("weight", unit="lb", low=0, high=5_000, null=True, blank=True)

    class Meta:
        ordering = ["tag"]
        constraints = [
            models.CheckConstraint(condition=models.Q(kind__in=SlingKind.values), name="sling_kind_known")
        ]

    def __str__(self) -> str:
        length = f", {self.length_ft:g} ft" if self.length_ft else ""
        rating = f", {self.rating_lb:,.0f} lb" if self.rating_lb else ", no rating read"
        return f"{self.tag}, {self.get_kind_display()}{length}{rating}"

    @property
    def is_shackle(self) -> bool:
        return self.kind == SlingKind.SHACKLE


class EquipmentRecord(models.Model):
    """One inspection or calibration. Never changed; a wrong one is archived and written again."""

    crane = models.ForeignKey(Crane, models.PROTECT, null=True, blank=True, related_name="records")
    wrench = models.ForeignKey(Wrench, models.PROTECT, null=True, blank=True, related_name="records")
    sling = models.ForeignKey(Sling, models.PROTECT, null=True, blank=True, related_name="records")
    done_on = models.DateField("done on")
    expires_on = models.DateField("expires", null=True, blank=True)
    done_by = models.CharField("by", max_length=80, blank=True)
    reference = models.CharField("certificate or report number", max_length=60, blank=True)
    recorded_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField()
    # of a version that did not ask for a number
    carried_over = models.BooleanField(default=False, editable=False)
    archived_on = models.DateField(null=True, blank=True)
    archived_by = models.ForeignKey("installs.User", models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["-done_on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(crane__isnull=False, wrench__isnull=True, sling__isnull=True)
                | models.Q(crane__isnull=True, wrench__isnull=False, sling__isnull=True)
                | models.Q(crane__isnull=True, wrench__isnull=True, sling__isnull=False),
                name="equipment_record_of_one_thing",
            ),
            models.CheckConstraint(
                condition=models.Q(expires_on=None) | models.Q(expires_on__gte=models.F("done_on")),
                name="equipment_record_expires_after",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.done_on}, {self.reference or self.done_by or 'no reference'}"

    @property
    def lacks(self) -> str:
        """What it does not say and counts nowhere without: "no number on record"; else ""."""
        return "" if self.reference or self.carried_over else "no number on record"
