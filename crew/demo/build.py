"""Builds the whole demo, and throws it away again."""

from __future__ import annotations

import uuid
from datetime import datetime, timedelta

from django.apps import apps
from django.db import connection, transaction

from crew.demo.emergencies import give_cards
from crew.demo.machines import make_yard
from crew.demo.people import Cast, make_cast
from crew.demo.prices import make_prices
from crew.demo.stories import UTILITY, curing, failing, finished, in_permits, just_designed, ready_to_lift
from crew.demo.utility import make_utility
from crew.plan.issuing import issue_plan
from crew.plan.services import add_day
from installs.chain import START_OF_CHAIN
from installs.checklists.models import Device
from installs.papers.services import order_paper
from installs.people.firm_log import firm_event_hash
from installs.people.models import FirmEvent


def build(now: datetime) -> Cast:
    """The demo as of ``now``; its dates are counted from today."""
    cast = make_cast(now)
    yard = make_yard(now.date(), cast["alma"], now - timedelta(days=900))
    make_utility(UTILITY, cast["alma"], now - timedelta(days=900))
    finished(cast, yard, now)
    lifting = ready_to_lift(cast, yard, now)
    pad = curing(cast, yard, now)
    failing(cast, yard, now)
    waiting = in_permits(cast, yard, now)
    just_designed(cast, yard, now)
    give_cards(cast["alma"], now - timedelta(days=2))
    make_prices(lifting, cast["alma"], now)
    issue_plan("Season's last jobs, lifts before the frost.", by=cast["alma"], at=now)
    add_day(pad, "tower assembly", now.date() + timedelta(days=5), cast.tower, by=cast["alma"], at=now)
    Device.objects.create(
        uuid=uuid.uuid4(),
        person=cast["ben"],
        heard_at=now - timedelta(hours=3),
        waiting=2,
        oldest_waiting_at=now - timedelta(hours=20),
    )
    Device.objects.create(uuid=uuid.uuid4(), person=cast["tilda"], heard_at=now - timedelta(minutes=50))
    for job, kind in ((waiting, "permit packet"), (lifting, "tower lift plan"), (pad, "permit packet")):
        order_paper(job, kind, by=cast["alma"], at=now)
    _firm_log_by_days()
    return cast


def _firm_log_by_days() -> None:
    """The stories are told job by job; the log of a firm was written day by day, so its lines stand so."""
    lines = sorted(FirmEvent.objects.all(), key=lambda line: (line.at, line.sequence))
    FirmEvent.objects.all().delete()
    previous = START_OF_CHAIN
    for sequence, line in enumerate(lines, start=1):
        line.pk, line.sequence, line.previous_hash = None, sequence, previous
        previous = line.hash = firm_event_hash(line)
    FirmEvent.objects.bulk_create(lines)


@transaction.atomic
def wipe() -> None:
    """Empty every table of ours. Only the demo command calls this, and only on the demo's own database."""
    tables = [
        m._meta.db_table for label in ("crew", "installs") for m in apps.get_app_config(label).get_models()
    ]
    through = [
        through._meta.db_table
        for label in ("crew", "installs")
        for m in apps.get_app_config(label).get_models()
        for f in m._meta.many_to_many
        if (through := f.remote_field.through) is not None
    ]
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            names = ", ".join(f'"{t}"' for t in [*through, *tables])
            cursor.execute(f"TRUNCATE {names} RESTART IDENTITY CASCADE")
            return
        cursor.execute("PRAGMA defer_foreign_keys = ON")
        for table in [*through, *tables]:
            cursor.execute(f'DELETE FROM "{table}"')
