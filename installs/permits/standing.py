"""The permits that a job stands on."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from django.db import models

from installs.jobs.models import Event, Job
from installs.jobs.reading import moment, read_once
from installs.permits.models import Permit


@read_once
def standing_permits(jobs: Sequence[Job]) -> dict[int, list[Permit]]:
    """Not withdrawn, by job's key, in the order in which they were written down; one query.

    As of an earlier moment: a line that was changed since says what it said then, by the job's log.
    """
    found: dict[int, list[Permit]] = {job.pk: [] for job in jobs}
    rows = Permit.objects.filter(job__in=list(found)).order_by("pk")
    at = moment()
    if at is None:
        rows = rows.filter(withdrawn_on=None)
    for permit in rows if at is None else _as_they_were(list(rows), list(found), at):
        found[permit.job_id].append(permit)
    return found


def _as_they_were(permits: list[Permit], jobs: list[int], at: datetime) -> list[Permit]:
    """What was written since is taken back, the last first; of a log that names no lines, nothing."""
    by_key, new = {permit.pk: permit for permit in permits}, set()
    since = Event.objects.filter(job__in=jobs, verb="permit recorded", at__gt=at).order_by("-pk")
    for event in since:
        permit = by_key.get(event.data.get("permit"))
        if permit is None:
            continue
        if event.data.get("new"):
            new.add(permit.pk)
        for name, told in event.data.items():
            if isinstance(told, list):
                setattr(permit, name, _read(name, told[0]))
    return [p for p in permits if p.pk not in new and p.withdrawn_on is None]


def _read(name: str, told: str) -> Any:
    """A value as the log has it: a day, a key, or words."""
    field = Permit._meta.get_field(name.removesuffix("_id"))
    if told == "None":
        return None if field.null else ""
    if isinstance(field, models.DateField):
        return date.fromisoformat(told)
    return int(told) if isinstance(field, models.ForeignKey) else told
