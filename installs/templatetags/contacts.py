"""Whom to call for a job, as one line of a template: numbers dial, the site opens in the phone's map."""

from __future__ import annotations

from typing import Any

from django import template

from installs.firm.facts import Place, contacts_of, drafted_place, map_address
from installs.jobs.models import Job

register = template.Library()


@register.inclusion_tag("installs/firm/_contacts.html")
def job_contacts(job: Job, tower_at: Place | None = None, asks_draft: bool = True) -> dict[str, Any]:
    """``tower_at``: where a page knows it from the releases; else the site's draft says it."""
    place = tower_at or (drafted_place(job) if asks_draft else None)
    return {"job": job, "contacts": contacts_of(job), "map": map_address(job, place)}
