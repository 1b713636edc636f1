"""Where the nightly backups are, how many are kept, and when the last one was made."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.db.migrations.recorder import MigrationRecorder
from django.db.models import Min

from installs.jobs.reading import read_once
from installs.work.models import State, WorkRequest

KIND = "record.backup"
OLD = timedelta(days=2)
ENDS_IN = ".mastwright.tar"


def place() -> Path:
    """The folder, made if it is not there; nobody else of the machine reads it."""
    folder = Path(settings.BACKUP_DIR)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder


def name_at(at: datetime) -> str:
    return f"{at.astimezone(UTC):%Y-%m-%d-%H%M%S}Z{ENDS_IN}"


def remove_old() -> list[str]:
    """All but the newest BACKUPS_KEPT; gives the names of those taken away."""
    old = sorted(place().glob(f"*{ENDS_IN}"))[: -settings.BACKUPS_KEPT]
    for path in old:
        path.unlink()
    return [path.name for path in old]


@read_once
def last_made() -> datetime | None:
    """When the last nightly one was whole; None before the first."""
    done = WorkRequest.objects.filter(kind=KIND, state=State.DONE)
    return done.order_by("-finished_at").values_list("finished_at", flat=True).first()


def set_up() -> datetime | None:
    """When this database was made."""
    made: datetime | None = MigrationRecorder.Migration.objects.aggregate(first=Min("applied"))["first"]
    return made


def backup_fault(at: datetime) -> str:
    """What is said where the last backup is missing or older than two nights; "" otherwise.

    A new server has had no night yet: that it has none is a fact there, and no fault.
    """
    last, made = last_made(), set_up()
    if last is None:
        return "" if made is not None and at - made < OLD else "No backup was made yet."
    days = (at - last).days
    return f"The last backup was made {days} days ago." if at - last > OLD else ""
