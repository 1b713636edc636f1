"""What is taken away each night: what ran out, what nobody used, and files that nothing names.

A record is never deleted. A file that was sent and stands in no record is none: somebody chose another photo,
or left a form. It goes after a week, by hash and name in the log, and never while a phone of its sender still
holds entries that may name it.
"""

from __future__ import annotations

import logging
import shutil
import tempfile
from datetime import datetime, timedelta
from pathlib import Path

from django.contrib.sessions.models import Session
from django.core.files.storage import default_storage
from django.db import transaction
from django.db.models import ProtectedError

from installs.checklists.models import Device, Entry
from installs.files.keeping import keep, kept_bytes
from installs.files.models import StoredFile
from installs.files.storage import PRESS
from installs.people.models import SignInAttempt
from installs.record.backups import place
from installs.record.files import said_in_words, unnamed

log = logging.getLogger(__name__)

FILE_STAYS = timedelta(days=7)
WAITING_COUNTS = timedelta(days=90)  # a phone that was not heard for longer is lost, and what it held with it
ATTEMPT_STAYS = timedelta(days=90)
DEVICE_STAYS = timedelta(days=365)
LEFTOVER_STAYS = timedelta(days=1)


def remove_expired(at: datetime) -> dict[str, int]:
    """Sessions that ran out, old tries to sign in, and phones that never sent an entry."""
    sessions, _ = Session.objects.filter(expire_date__lt=at).delete()
    attempts, _ = SignInAttempt.objects.filter(at__lt=at - ATTEMPT_STAYS).delete()
    unused = Device.objects.filter(heard_at__lt=at - DEVICE_STAYS, waiting=0, ended_at=None)
    used = Entry.objects.exclude(device=None).values("device")
    devices, _ = unused.exclude(pk__in=used).delete()
    return {"sessions": sessions, "attempts": attempts, "devices": devices}


def remove_unnamed(at: datetime) -> list[str]:
    """Files of more than a week that nothing names; gives their hashes."""
    waiting = Device.objects.filter(waiting__gt=0, heard_at__gt=at - WAITING_COUNTS).values("person")
    old = unnamed().filter(stored_at__lt=at - FILE_STAYS)
    found = list(old.exclude(stored_by__in=waiting).exclude(sendings__person__in=waiting).order_by("pk"))
    said = said_in_words() if found else set()
    return [file.sha256 for file in found if file.sha256 not in said and _remove(file)]


def _remove(file: StoredFile) -> bool:
    """The row first: whoever names it at this moment holds it by its key, and then it stays."""
    content = kept_bytes(file.sha256)
    try:
        with transaction.atomic():
            if not unnamed().select_for_update(of=("self",)).filter(pk=file.pk).exists():
                return False
            StoredFile.objects.filter(pk=file.pk).delete()
    except ProtectedError:
        return False
    default_storage.delete(file.storage_name)
    if content is not None and StoredFile.objects.filter(sha256=file.sha256).exists():
        keep(content)  # sent again in the same moment
    log.warning("file %s (%s) was named by nothing for a week and is taken away", file.sha256, file.label)
    return True


def remove_leftovers(at: datetime) -> int:
    """What a killed press or a killed backup left behind."""
    presses = Path(tempfile.gettempdir()).glob(f"{PRESS}*")
    removed = 0
    for path in [*presses, *place().glob(".backup-*"), *place().glob("*.part")]:
        try:
            if path.lstat().st_mtime > (at - LEFTOVER_STAYS).timestamp():
                continue
            shutil.rmtree(path) if path.is_dir() and not path.is_symlink() else path.unlink()
            removed += 1
        except OSError as error:  # another's, or gone meanwhile
            log.info("the leftover %s stays: %s", path, error)
    return removed
