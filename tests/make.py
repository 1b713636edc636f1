"""Plain factories. The cast: Alma of the office, Ben the foreman, Cleo who is not on the job."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping
from datetime import UTC, date, datetime
from typing import Any

from installs.emergency.models import EmergencyPlan
from installs.files.models import StoredFile
from installs.jobs import services
from installs.jobs.models import DesignRevision, Job
from installs.jobs.sealing import release_hash
from installs.people.models import Certificate, User
from tests.house.page_forms import forms_of

HIDDEN = re.compile(r'name="(drawn_from|seen)" value="([^"]*)"')
AT = datetime(2031, 5, 5, 15, 0, tzinfo=UTC)
_count = itertools.count(1)


def make_person(name: str = "Ben Osgood", role: str = "foreman", **fields: Any) -> User:
    """A person who may sign in (client.force_login), named "<first name><n>"."""
    username = f"{name.split()[0].lower()}{next(_count)}"
    initials = "".join(part[0] for part in name.split())[:4]
    return User.objects.create_user(username, full_name=name, role=role, initials=initials, **fields)


def make_card(person: User, kind: str, expires_on: date | None, **fields: Any) -> Certificate:
    """A card as the office records it, with its number."""
    given = {"number": f"C-{next(_count)}", "recorded_by": person, "recorded_at": AT, **fields}
    return Certificate.objects.create(person=person, kind=kind, expires_on=expires_on, **given)


def alma() -> User:
    return make_person("Alma Reyes", "office")


def cleo() -> User:
    return make_person("Cleo Stranger", "crew")


def a_photo(by: User) -> StoredFile:
    """A stored picture, as a record names it; nobody looks at it."""
    kept, _ = StoredFile.objects.get_or_create(
        sha256="c" * 64,
        defaults={"size_bytes": 9, "content_type": "image/jpeg", "stored_by": by, "stored_at": AT},
    )
    return kept


def make_job(
    *, by: User | None = None, members: tuple[User, ...] = (), at: datetime = AT, **fields: Any
) -> Job:
    by = by or alma()
    values = {
        "number": f"2031-{next(_count):03}",
        "owner": "Orrin Test",
        "place": "Plum Twp",
        "county": "Juniper County",
        "state": "ND",
        "zone": "America/Chicago",
        **fields,
    }
    job = services.open_job(values, by=by, at=at)
    for person in members:
        services.add_member(job, person, by=by, at=at)
    return job


def make_release(job: Job, part: str, *, by: User, at: datetime = AT, **fields: Any) -> DesignRevision:
    """A release with nothing behind it, sealed as every release is."""
    values = {"letter": "A", "inputs": {}, "results": {}, "checks": [], **fields}
    revision = DesignRevision(job=job, part=part, released_by=by, released_at=at, **values)
    return sealed(revision)


def sealed(revision: DesignRevision) -> DesignRevision:
    """As if what it holds now had been released, hash and line of the log."""
    revision.sha256 = release_hash(revision)
    revision.save()
    told = {"part": revision.part, "letter": revision.letter, "sha256": revision.sha256}
    by, at = revision.released_by, revision.released_at
    services.write_event(revision.job, "design released", "For a test.", by=by, at=at, data=told)
    return revision


def drawn_from(client: Any, url: str) -> dict[str, str]:
    """What a design page sends back with a decision: which figures it was drawn from.

    Forms on it that carry an id of their own (a signature, a confirmation) were drawn from something else.
    """
    forms = forms_of(client.get(url).content.decode(), url)
    decides = next(f for f in forms if "drawn_from" in f.names and "form_id" not in f.names)
    return {name: value for name, [value] in decides.filled().items() if name in ("drawn_from", "seen")}


def as_drawn(
    client: Any, page: str, action: str = "", typed: Mapping[str, Any] | None = None
) -> dict[str, str]:
    """What a form of the page sends back beside what is typed: its id, and what it was drawn from.

    The form is the one that posts to ``action``, else to the page itself; of several the one that holds what
    is ``typed`` already (whose signature it is).
    """
    drawn = forms_of(client.get(page).content.decode(), page)
    found = [form.hidden() for form in drawn if form.action == (action or page)]
    return max(found, key=lambda form: (len(form.items() & _words(typed or {})), len(form)))


def _words(typed: Mapping[str, Any]) -> set[tuple[str, str]]:
    return {(name, each) for name, each in typed.items() if isinstance(each, str)}


def press(client: Any, url: str, data: Mapping[str, Any] | None = None, *, page: str = "") -> Any:
    """Fill in the form that posts to ``url`` on a page, or on its own, and send it."""
    return client.post(url, {**as_drawn(client, page or url, url, data), **(data or {})})


def tell_emergency(job: Job) -> EmergencyPlan:
    """All that an emergency card asks."""
    return EmergencyPlan.objects.create(
        job=job, way_in="County Road 9, second gate", hospital="Alder County Hospital", drive_min=22,
        muster="Shed, east door", landing="Pasture north of the lane", utility_phone="555-0178",
    )  # fmt: skip
