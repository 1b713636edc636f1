"""Prices as quoted, valuations as said: rows that are added, each with its line in a log."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from installs.jobs.getters import locked
from installs.jobs.material_lines import Good
from installs.jobs.models import Job
from installs.jobs.services import write_event
from installs.materials.models import Price, Valuation
from installs.materials.pricing import counting_prices
from installs.people.firm_log import lock_firm_log, write_firm_event
from installs.people.models import User

WITHDRAWN = "price withdrawn"


@transaction.atomic
def record_quote(
    typed: Mapping[Good, float], *, quoted_on: date, source: str, by: User, at: datetime
) -> list[Price]:
    """Add the prices of one quote."""
    lock_firm_log()
    rows = [
        Price(
            good=good.name,
            unit=good.unit,
            usd=usd,
            quoted_on=quoted_on,
            source=source,
            recorded_by=by,
            recorded_at=at,
        )
        for good, usd in typed.items()
    ]
    Price.objects.bulk_create(rows)
    count = f"{len(rows)} price{'s' if len(rows) != 1 else ''}"
    prices = [[row.good, row.unit, row.usd] for row in rows]
    write_firm_event(
        "prices recorded",
        f"{count} recorded, {source}, quoted {quoted_on.isoformat()}.",
        by=by,
        at=at,
        data={"prices": prices, "source": source, "quoted_on": quoted_on.isoformat()},
    )
    return rows


@transaction.atomic
def withdraw_price(price: Price, *, on: date, by: User, at: datetime) -> Price:
    """From this day no price of the good is known. ValidationError where another counts by now."""
    lock_firm_log()
    counts = counting_prices().get(Good(price.good, price.unit))
    if counts is None or counts.pk != price.pk:
        raise ValidationError("Another price counts by now: reload the page.")
    row = Price.objects.create(
        good=price.good,
        unit=price.unit,
        usd=None,
        quoted_on=max(on, price.quoted_on),
        source="withdrawn",
        recorded_by=by,
        recorded_at=at,
    )
    write_firm_event(
        WITHDRAWN, f"{price}: no price any more.", by=by, at=at, data={"price": price.pk, "usd": price.usd}
    )
    return row


@transaction.atomic
def record_valuation(job: Job, row: Valuation, *, by: User, at: datetime) -> Valuation:
    """Add what the job's work is valued at; the one before it stays."""
    job = locked(job)
    row.job, row.recorded_by, row.recorded_at = job, by, at
    row.save(force_insert=True)
    write_event(
        job,
        "valuation recorded",
        f"Valuation of the work: {row.in_words}.",
        by=by,
        at=at,
        data={"valuation": row.pk, "amount_cents": row.amount_cents, "covers": row.covers},
    )
    return row
