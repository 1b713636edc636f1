"""One press of a form: kept once, and only by who read what stands now.

Each form carries an id that was made when its page was drawn. ``once(request)`` is the transaction that
keeps what was sent, and the id with it: pressed twice it is one row, and the second press leads where the
first did.
Inside it, with the row locked, ``press.saw(row)`` refuses a page that showed something else.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, TypeVar
from uuid import UUID

from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.db import Error, IntegrityError, models, transaction
from django.http import HttpRequest
from django.http.response import HttpResponseRedirect
from django.utils import timezone
from django.utils.crypto import salted_hmac

from installs.measures import uuid_or_none
from installs.sent import seen
from installs.sent.models import SentForm
from installs.sent.seen import Changed, Read, Seen

View = TypeVar("View")

FORM_ID = "form_id"
# hidden fields that say what of the page was read, and nothing that anybody typed
OF_THE_PAGE = ("csrfmiddlewaretoken", FORM_ID, "drawn_from", "seen")
KEPT_FOR = timedelta(days=14)  # longer than a page stays open, or a browser keeps one to go back to

CHANGED = "this has changed since the page was read. Both stand below; read them, then decide."
NOT_SAID = "this page does not say what it showed. What stands now is below; read it, then decide."


class SentBefore(Exception):
    """This very press was kept; ``place`` is where its answer led."""

    def __init__(self, place: str) -> None:
        super().__init__(place)
        self.place = place


class SentOtherwise(ValidationError):
    """The form was sent and kept before, with other words in it: nobody presses so twice.

    The form comes back with what was typed and an id of its own.
    """

    def __init__(self) -> None:
        super().__init__(
            "This form was sent before, and that was saved. What is typed now is something else and is not "
            "saved yet: send it once more to save it as well."
        )


class OldPage(Exception):
    """A decision came from a page that shows something else than stands now."""

    def __init__(self, read: Read, now: Seen, does: str = "") -> None:
        super().__init__("an old page")
        self.read, self.now, self.does = read, now, does

    @property
    def words(self) -> str:
        return CHANGED if self.read.told else NOT_SAID

    @property
    def changed(self) -> list[Changed]:
        """Side by side; all that stands now where the page does not say what it showed."""
        if self.read.told:
            return self.read.changed(self.now)
        return [Changed(line.label, seen.NOT_SAID, line.words) for line in self.now.values()]


@dataclass
class Press:
    """``to`` is where its answer leads, once it is kept."""

    read: Read
    to: HttpResponseRedirect | None = None

    def saw(self, shown: Seen | models.Model, does: str = "") -> None:
        """OldPage unless the page was drawn from this. Call with the row locked.

        ``does`` is what the button says, for one that stands alone: the page that comes back offers it again.
        """
        now = seen.of_row(shown) if isinstance(shown, models.Model) else shown
        if not self.read.is_of(now):
            raise OldPage(self.read, now, does)


@contextmanager
def once(request: HttpRequest, to: HttpResponseRedirect | None = None) -> Iterator[Press]:
    """The transaction of one press. SentBefore for a second one, which waits for the end of the first."""
    press = Press(Read.of(request.POST), to)
    with transaction.atomic():
        sent = _kept(request)
        yield press
        if press.to is None:
            raise ValueError("a press that is kept leads somewhere")
        SentForm.objects.filter(pk=sent.pk).update(place=press.to.url[:500])


def _kept(request: HttpRequest) -> SentForm:
    uuid = form_id(request)
    if uuid is None:
        raise ValueError("a form without an id came past installs/sent/middleware.py")
    try:
        with transaction.atomic():
            return SentForm.objects.create(uuid=uuid, sha256=_digest(request), at=timezone.now())
    except IntegrityError:
        refuse_second(request, uuid)
        raise


def form_id(request: HttpRequest) -> UUID | None:
    return uuid_or_none(request.POST.get(FORM_ID, ""))


def refuse_second(request: HttpRequest, uuid: UUID) -> None:
    """SentBefore, or SentOtherwise, for a form that was kept."""
    kept = SentForm.objects.filter(pk=uuid).first()
    if kept is not None:
        raise SentBefore(kept.place) if kept.sha256 == _digest(request) else SentOtherwise()


def _digest(request: HttpRequest) -> str:
    """Of who sent what where; of a file its bytes. Keyed: who reads the table cannot try passwords."""
    words = {name: texts for name, texts in request.POST.lists() if name not in OF_THE_PAGE}
    files = {name: [_hash(each) for each in given] for name, given in request.FILES.lists()}
    told = [request.path, getattr(request.user, "pk", None), words, files]
    return salted_hmac(
        "a form that was sent", json.dumps(told, sort_keys=True), algorithm="sha256"
    ).hexdigest()


def _hash(file: UploadedFile[Any]) -> str:
    found = hashlib.sha256()
    for chunk in file.chunks():
        found.update(chunk)
    file.seek(0)
    return found.hexdigest()


ENTRIES = "each entry has an id of its own, and is taken once"


def sends(how: str) -> Callable[[View], View]:
    """Mark a view whose forms carry no id of this kind, and say by what nothing is done twice there."""

    def mark(view: View) -> View:
        view.sends = how  # type: ignore[attr-defined]  # a function may carry a mark, its type cannot
        return view

    return mark


UNIQUE_STATE, DEADLOCK_STATES = "23505", ("40P01", "40001")


def collided(error: BaseException) -> bool:
    """Whether two changes met: the same thing made by both, or each waiting for the other."""
    if not isinstance(error, Error):
        return False
    state = getattr(error.__cause__, "sqlstate", None)
    unique = state == UNIQUE_STATE or "UNIQUE constraint failed" in str(error)
    return unique or state in DEADLOCK_STATES


def remove_old(at: datetime) -> int:
    """Take away the ids of forms that nobody can press again; how many."""
    removed, _ = SentForm.objects.filter(at__lt=at - KEPT_FOR).delete()
    return removed
