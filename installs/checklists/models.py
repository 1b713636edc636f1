"""Checklists of a job and the field record: entries that are only ever added."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime, timedelta
from functools import cached_property
from typing import Any

from django.db import models

from installs.checklists.said import YEARS, Reading, read_said
from sitecalc.wording import day_words


class JobList(models.Model):
    """A checklist copied into a job when the job starts; its version stays as it was then."""

    job = models.ForeignKey("installs.Job", models.PROTECT, related_name="lists")
    key = models.CharField(max_length=20)
    title = models.CharField(max_length=80)
    phase = models.CharField(max_length=20)
    version = models.CharField(max_length=20)
    copied_at = models.DateTimeField()

    class Meta:
        ordering = ["job", "pk"]
        constraints = [models.UniqueConstraint(fields=["job", "key"], name="list_once_a_job")]

    def __str__(self) -> str:
        return f"{self.title} of {self.job.number}"


class ItemKind(models.TextChoices):
    TICK = "tick", "tick"
    READING = "reading", "reading"
    PHOTO = "photo", "photo"
    SIGNATURE = "signature", "signature"
    TORQUE = "torque", "torque series"
    DOCUMENT = "document", "document"


class Weight(models.TextChoices):
    RECORD = "record", "record only"
    COMPLETE = "complete", "must be complete before its phase closes"
    HOLD = "hold", "hold point: the next phase stays closed"


class Item(models.Model):
    list = models.ForeignKey(JobList, models.PROTECT, related_name="items")
    code = models.CharField("number on the list", max_length=6)
    position = models.PositiveIntegerField()
    wording = models.CharField(max_length=300)
    kind = models.CharField(max_length=10, choices=ItemKind.choices)
    unit = models.CharField(max_length=20, blank=True)
    low = models.FloatField("accepted from", null=True, blank=True)
    high = models.FloatField("accepted to", null=True, blank=True)
    signs = models.CharField("who signs", max_length=60, blank=True)
    weight = models.CharField(max_length=10, choices=Weight.choices)
    per = models.CharField("repeated for each", max_length=20, blank=True)
    gate = models.CharField("recording it means work behind this gate", max_length=20, blank=True)
    photo = models.BooleanField("a photo belongs to it", default=False)
    evidence = models.CharField(max_length=120, blank=True)
    source = models.CharField(max_length=160, blank=True)

    class Meta:
        ordering = ["list", "position"]
        constraints = [
            models.UniqueConstraint(fields=["list", "code"], name="item_code_once"),
            models.CheckConstraint(condition=models.Q(kind__in=ItemKind.values), name="item_kind_known"),
            models.CheckConstraint(condition=models.Q(weight__in=Weight.values), name="item_weight_known"),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.wording}"

    @property
    def takes_photo(self) -> bool:
        """One belongs to it, or may stand for what is signed or numbered."""
        return self.photo or self.kind in (ItemKind.PHOTO, ItemKind.SIGNATURE, ItemKind.DOCUMENT)


class Device(models.Model):
    """A phone, known by the id it made itself; what it said when it was last heard."""

    uuid = models.UUIDField(unique=True)
    person = models.ForeignKey("installs.User", models.PROTECT, related_name="devices")
    heard_at = models.DateTimeField()
    waiting = models.PositiveIntegerField("entries not sent when last heard", default=0)
    oldest_waiting_at = models.DateTimeField(null=True, blank=True)
    skew_s = models.FloatField("phone's clock ahead of ours, s", default=0)
    ended_at = models.DateTimeField("access ended", null=True, blank=True)
    ended_by = models.ForeignKey("installs.User", models.PROTECT, null=True, blank=True, related_name="+")
    ended_why = models.CharField("why it was ended", max_length=300, blank=True)

    def __str__(self) -> str:
        return f"phone of {self.person}"

    def shown(self) -> list[tuple[str, str, str]]:
        """What is read by who ends its access; it is heard twice a minute, which decides nothing."""
        ended = f"{day_words(self.ended_at, year=True)}: {self.ended_why}" if self.ended_at else "no"
        return [("person", "Phone of", str(self.person)), ("ended", "Access ended", ended)]


class Entry(models.Model):
    """One record made in the field. Never changed, never deleted; a correction names what it corrects.

    ``subject`` says what within the item: "truck 3", "edge", "joint 2 pass 3 bolt B4".
    ``number``/``unit`` hold a reading, ``text`` a word or note, ``data`` further figures of the same
    record. ``hash`` covers the entry and the hash before it in its job.
    """

    uuid = models.UUIDField(unique=True, default=uuid.uuid4)
    job = models.ForeignKey("installs.Job", models.PROTECT, related_name="entries")
    sequence = models.PositiveIntegerField()
    item = models.ForeignKey(Item, models.PROTECT, null=True, blank=True, related_name="entries")
    code = models.CharField(max_length=20, help_text="the item's code, or a kind of entry without an item")
    subject = models.CharField(max_length=60, blank=True)
    number = models.FloatField(null=True, blank=True)
    unit = models.CharField(max_length=20, blank=True)
    text = models.CharField(max_length=1000, blank=True)
    data = models.JSONField(default=dict)
    photo = models.ForeignKey("installs.StoredFile", models.PROTECT, null=True, blank=True, related_name="+")
    corrects = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="corrections")
    taken_at = models.DateTimeField("phone's clock")
    received_at = models.DateTimeField("our clock")
    skew_s = models.FloatField("phone's clock ahead of ours, s", default=0)
    noted = models.JSONField("what was noted at its receipt, in words by its kind", default=dict)
    person = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    device = models.ForeignKey(Device, models.PROTECT, null=True, blank=True, related_name="+")
    content_hash = models.CharField(max_length=64)
    previous_hash = models.CharField(max_length=64)
    hash = models.CharField(max_length=64)

    class Meta:
        ordering = ["job", "sequence"]
        indexes = [models.Index(fields=["job", "code"], name="entry_by_code")]
        constraints = [models.UniqueConstraint(fields=["job", "sequence"], name="entry_sequence_once")]

    def __str__(self) -> str:
        return f"{self.code} {self.subject}".strip()

    @property
    def happened_at(self) -> datetime:
        """When it was taken, by our clock."""
        return self.taken_at - timedelta(seconds=self.skew_s)

    @property
    def timed(self) -> bool:
        """Its time is of our years; a clock that lost its battery says 1970."""
        return self.happened_at.year in YEARS

    @cached_property
    def _read(self) -> Reading:
        return read_said(self.code, self.number, self.unit, self.data)

    @property
    def unreadable(self) -> str:
        """Why the entry cannot be read and counts for nothing; "" where it can."""
        when = () if self.timed else (f"its time is of the year {self.happened_at.year}",)
        return "; ".join((*self._read.faults, *when))

    @property
    def said(self) -> Mapping[str, Any]:
        """What stands beside its words, each value by its declaration; nothing of what cannot be read."""
        return {} if self.unreadable else self._read.values

    @property
    def reading(self) -> float | None:
        """The number that counts: none of what cannot be read, or was said not to be measurable."""
        return None if self.unreadable or self.said.get("cannot") else self.number

    @property
    def struck(self) -> bool:
        """It only says that the entry it corrects was not so: neither of the two stands."""
        return self.corrects_id is not None and bool(self.said.get("struck"))

    @property
    def strange(self) -> tuple[str, ...]:
        """Keys that nobody declared: kept, and read by nobody."""
        return self._read.strange

    @property
    def not_judged(self) -> str:
        """Why nobody has judged it; "" where it was."""
        return str(self.noted.get("not judged", ""))
