"""Requests for background work: the row is the truth, the queue only a wake-up call."""

from __future__ import annotations

from datetime import datetime

from django.db import models
from django.db.models import Q


class State(models.TextChoices):
    QUEUED = "queued", "waiting"
    RUNNING = "running", "being worked on"
    DONE = "done", "done"
    FAILED = "failed", "failed"
    CANCELLED = "cancelled", "cancelled"


class WorkRequestQuerySet(models.QuerySet["WorkRequest"]):
    def claimable(self, at: datetime) -> WorkRequestQuerySet:
        """Waiting, or taken by a worker that has stopped renewing its lease."""
        return self.filter(Q(state=State.QUEUED) | Q(state=State.RUNNING, lease_until__lt=at))

    def held_by(self, owner: str) -> WorkRequestQuerySet:
        return self.filter(state=State.RUNNING, owner=owner)


class WorkRequest(models.Model):
    """One piece of work asked of a worker. ``key`` names it: the same key asked twice is one row."""

    kind = models.CharField(max_length=60)
    queue = models.CharField(max_length=20)
    key = models.CharField(max_length=120)
    arguments = models.JSONField(default=dict)
    state = models.CharField(max_length=10, choices=State.choices, default=State.QUEUED)
    owner = models.CharField("worker that holds it", max_length=80, blank=True)
    lease_until = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    progress_text = models.CharField(max_length=200, blank=True)
    progress_share = models.FloatField("share done, 0 to 1", default=0.0)
    error = models.TextField(blank=True)
    result = models.JSONField(null=True, blank=True)
    requested_by = models.ForeignKey("installs.User", models.PROTECT, null=True, related_name="+")
    requested_at = models.DateTimeField()
    request_id = models.CharField("web request that asked for it", max_length=64, blank=True)
    started_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    cancel_asked_by = models.ForeignKey("installs.User", models.PROTECT, null=True, related_name="+")
    cancel_asked_at = models.DateTimeField(null=True, blank=True)

    objects = WorkRequestQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["kind", "key"], name="work_request_once"),
            models.CheckConstraint(condition=Q(state__in=State.values), name="work_state_known"),
            models.CheckConstraint(
                condition=~Q(state=State.RUNNING) | (~Q(owner="") & Q(lease_until__isnull=False)),
                name="work_running_is_held",
            ),
            models.CheckConstraint(
                condition=Q(progress_share__gte=0, progress_share__lte=1), name="work_share_of_one"
            ),
        ]
        # what a worker looks for, every time it looks
        indexes = [models.Index(fields=["queue", "state", "id"], name="work_to_claim")]

    def __str__(self) -> str:
        return f"{self.kind} {self.key}: {self.get_state_display()}"

    @property
    def is_over(self) -> bool:
        return self.state in (State.DONE, State.FAILED, State.CANCELLED)


class Pulse(models.Model):
    """One row, written and read to know that the database takes and gives."""

    at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.at:%F %T}"
