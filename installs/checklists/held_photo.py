"""A picture chosen at a line of a paper: stored before the sheet is judged, for no browser chooses it again.

The page carries its name by a signed word, so that nobody cites a picture that was not given here.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.core import signing

from installs.checklists.photos import may_name
from installs.files.models import StoredFile
from installs.files.services import store_photo
from installs.files.taken import taken
from installs.people.models import User

SALT = "a picture at a line of a paper"


@dataclass(frozen=True)
class HeldPhoto:
    """``shot`` is when and where it was taken, as its file said; the stored picture no longer does."""

    file: StoredFile
    name: str
    shot: dict[str, Any]

    @property
    def word(self) -> str:
        return signing.dumps([self.file.sha256, self.name, self.shot], salt=SALT)


def hold(upload: Any, *, by: User, at: datetime) -> HeldPhoto:
    """ValidationError for what is no picture."""
    shot = taken(upload)
    return HeldPhoto(store_photo(upload, by=by, at=at), upload.name[:80], shot)


def held(word: str, *, by: User) -> HeldPhoto | None:
    """The picture that an earlier answer of this page held for this person; None for a word that is not ours,
    and for a picture that they neither sent nor see in a record."""
    try:
        sha256, name, shot = signing.loads(word, salt=SALT)
    except signing.BadSignature:
        return None
    file = StoredFile.objects.filter(sha256=sha256).first()
    return HeldPhoto(file, name, shot) if file and may_name(file, by) else None
