"""Who may name a kept photo in an entry of their own."""

from __future__ import annotations

from installs.checklists.models import Entry
from installs.files.models import StoredFile
from installs.jobs.models import Job
from installs.people.models import User


def may_name(file: StoredFile, person: User) -> bool:
    """Whoever sent it, and whoever sees an entry with it; nothing but a photo."""
    if file.content_type != "image/jpeg":
        return False
    if file.stored_by_id == person.pk or file.sendings.filter(person=person).exists():
        return True
    return Entry.objects.filter(photo=file, job__in=Job.objects.visible_to(person)).exists()
