"""A kit: releases of one job under a name, from which the drafts of another job start."""

from __future__ import annotations

from django.db import models

from sitecalc.wording import day_words


class Kit(models.Model):
    """It is never changed: other releases are another kit, the old one is archived."""

    name = models.CharField(max_length=60, unique=True)
    note = models.CharField("what it is for", max_length=160, blank=True)
    job = models.ForeignKey("installs.Job", models.PROTECT, related_name="kits_made", editable=False)
    releases = models.ManyToManyField("installs.DesignRevision", related_name="+", editable=False)
    made_at = models.DateTimeField(editable=False)
    made_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+", editable=False)
    archived_on = models.DateField(null=True, blank=True, editable=False)
    archived_by = models.ForeignKey(
        "installs.User", models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )

    class Meta:
        ordering = ["archived_on", "name"]

    def __str__(self) -> str:
        return self.name


class KitTaking(models.Model):
    """A job's drafts began with a kit."""

    kit = models.ForeignKey(Kit, models.PROTECT, related_name="takings")
    job = models.OneToOneField("installs.Job", models.PROTECT, related_name="kit_taking")
    chosen_at = models.DateTimeField()
    chosen_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.job} from kit {self.kit}"


class SiteQuestion(models.Model):
    """A figure that came with a kit and may be another at this site: confirmed once, or given otherwise.

    ``table`` and ``row`` say where it stands in the draft's value, "" and -1 where it is no row's.
    """

    taking = models.ForeignKey(KitTaking, models.PROTECT, related_name="questions")
    part = models.CharField(max_length=20)
    figure = models.CharField(max_length=40)
    table = models.CharField(max_length=40, blank=True)
    row = models.IntegerField(default=-1)
    words = models.CharField("label with its value", max_length=200)
    value = models.JSONField(null=True)
    confirmed_at = models.DateTimeField(null=True)
    confirmed_by = models.ForeignKey("installs.User", models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["part", "pk"]

    def __str__(self) -> str:
        return self.words

    @property
    def confirmed_words(self) -> str:
        if self.confirmed_at is None or self.confirmed_by is None:
            return ""
        day = day_words(self.taking.job.local(self.confirmed_at), year=True)
        return f"{self.confirmed_by.full_name}, {day}"
