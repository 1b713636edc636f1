"""Booking a crane, confirming and cancelling it: each a line of the firm's log.

A crane that is cancelled is told to every job whose lift it was to do.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from crew.plan.models import CraneBooking, CrewDay
from crew.plan.order import LIFTS
from installs.jobs.getters import locked
from installs.jobs.models import Job
from installs.jobs.phases import BY_KEY
from installs.jobs.services import write_event
from installs.measures import short_words
from installs.people.firm_log import write_firm_event
from installs.people.models import User
from sitecalc.wording import day_words

LONGEST_WHY = 120


@transaction.atomic
def book(booking: CraneBooking, *, confirmed: bool, by: User, at: datetime) -> CraneBooking:
    """A new booking, requested or confirmed already."""
    booking.made_at, booking.made_by = at, by
    if confirmed:
        booking.confirmed_at, booking.confirmed_by = at, by
    booking.save(force_insert=True)
    words = f"{booking} is {booking.state}."
    write_firm_event("crane booked", words, by=by, at=at, data={"booking": booking.pk})
    return booking


@transaction.atomic
def confirm(booking: CraneBooking, *, by: User, at: datetime) -> None:
    live = CraneBooking.objects.standing().filter(pk=booking.pk, confirmed_at=None)
    if live.update(confirmed_at=at, confirmed_by=by) != 1:
        raise ValidationError(f"This booking is {CraneBooking.objects.get(pk=booking.pk).state} already.")
    write_firm_event(
        "crane confirmed", f"{booking} is confirmed.", by=by, at=at, data={"booking": booking.pk}
    )


def days_on(booking: CraneBooking, today: date) -> list[CrewDay]:
    """The standing lift days ahead that name the crane within the booking's dates."""
    days = CrewDay.objects.standing().filter(
        crane=booking.crane_id,
        phase__in=LIFTS,
        on__range=(booking.first_on, booking.last_on),
        on__gte=today,
        job__archived_on=None,
    )
    related = days.select_related("job", "crew", "crew__foreman").prefetch_related("people")
    return list(related.order_by("on", "pk"))


@transaction.atomic
def cancel(booking: CraneBooking, why: str, days: Sequence[CrewDay], *, by: User, at: datetime) -> None:
    """It does not come. ``days`` are those that it hits: they stand, without a crane."""
    reason = short_words(why, LONGEST_WHY, "why")
    if not reason:
        raise ValidationError({"why": "Say why."})
    live = CraneBooking.objects.standing().filter(pk=booking.pk)
    if live.update(cancelled_at=at, cancelled_by=by, cancelled_why=reason) != 1:
        raise ValidationError("This booking is cancelled already.")
    words = f"{booking} is cancelled: {reason}"
    write_firm_event("crane cancelled", words, by=by, at=at, data={"booking": booking.pk})
    for job in Job.objects.filter(pk__in={day.job_id for day in days}).order_by("pk"):
        job = locked(job)
        mine = [day for day in days if day.job_id == job.pk]
        hit = ", ".join(f"{BY_KEY[d.phase].title.lower()} on {day_words(d.on, weekday=True)}" for d in mine)
        what = f"{booking.crane} cancelled ({reason}): {hit}."
        write_event(job, "crane cancelled", what, by=by, at=at, data={"days": [d.pk for d in mine]})
