"""Whom to call for a job, and where its site is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from urllib.parse import quote

from installs.firm.models import NAMED_BY_JOB, Contact, ContactKind
from installs.jobs.models import Job
from installs.jobs.parts import TABLE
from installs.jobs.reading import read_once
from installs.jobs.standing import in_force


@read_once
def current_contacts() -> list[Contact]:
    """Of the firm and of every job: one query, however many jobs a page shows."""
    return list(Contact.objects.filter(archived_on=None))


def contacts_of(job: Job) -> list[Contact]:
    """The job's own, and of the firm's those that every job may need or that the job names."""
    order = {kind: place for place, kind in enumerate(ContactKind.values)}
    found = [c for c in current_contacts() if c.job_id == job.pk or (c.job_id is None and _is_named(c, job))]
    return sorted(found, key=lambda contact: (order[contact.kind], contact.name))


def _is_named(contact: Contact, job: Job) -> bool:
    column = NAMED_BY_JOB.get(ContactKind(contact.kind))
    if column is None:
        return True
    return contact.name.casefold() == str(getattr(job, column)).strip().casefold()


Place = tuple[float, float]  # latitude, longitude in degrees


def map_address(job: Job, tower_at: Place | None) -> str:
    """A geo: address that a phone's map opens (RFC 5870): the tower, else a search for the job's address; ""
    where there is neither."""
    if tower_at is not None:
        lat, lon = tower_at
        return f"geo:{lat:.6f},{lon:.6f}?q={lat:.6f},{lon:.6f}"
    words = quote(", ".join(filter(None, [job.address, job.place, job.county, job.state])))
    return f"geo:0,0?q={words}" if job.address else ""


def drafted_place(job: Job) -> Place | None:
    return _drafted().get(job.pk)


@read_once
def _drafted() -> dict[int, Place]:
    """Of every job whose draft has it, in one question: a sheet of the next day shows many."""
    drafts: Any = TABLE["site"].draft._default_manager
    rows = drafts.values_list("job_id", "value__latitude_deg", "value__longitude_deg")
    places = {job: _place({"latitude_deg": lat, "longitude_deg": lon}) for job, lat, lon in rows}
    return {job: place for job, place in places.items() if place is not None}


def released_place(job: Job) -> Place | None:
    """Where the tower stands by the site in force."""
    revision = in_force(job, "site")
    return _place(revision.inputs) if revision else None


def _place(figures: Mapping[str, Any]) -> Place | None:
    lat, lon = figures.get("latitude_deg"), figures.get("longitude_deg")
    return None if lat is None or lon is None else (float(lat), float(lon))


def known_names(kind: ContactKind, column: str) -> list[str]:
    """What a field of a job offers: the firm's rows of this kind, and what its jobs have named."""
    rows = Contact.objects.filter(archived_on=None, kind=kind, job=None).values_list("name", flat=True)
    jobs = Job.objects.exclude(**{column: ""}).values_list(column, flat=True)
    return sorted({*rows, *jobs}, key=str.casefold)


def known_counties() -> list[str]:
    rows = Contact.objects.filter(archived_on=None, job=None).exclude(county="")
    jobs = Job.objects.values_list("county", flat=True)
    return sorted({*rows.values_list("county", flat=True), *jobs}, key=str.casefold)
