"""What is asked at once about a truck: hardly so, and kept when it is confirmed. The phone asks the same
without signal (static/installs/trucks.js)."""

from __future__ import annotations

from datetime import datetime

from installs.checklists.asking import AGAIN
from installs.pour.field_log import PourLog, TruckTicket
from sitecalc.pour.placing import Decision, Truck

# minutes that a discharge is written down after it, and a watch is off: common practice, no source
LATE_MIN, AHEAD_MIN = 15.0, 5.0


def ticket_twice(log: PourLog, truck: int, ticket: str) -> str:
    """A delivery has one ticket: the number of another truck is a slip, or the same load entered twice."""
    same = [
        t.number for t in log.trucks if t.number != truck and ticket and t.ticket.strip() == ticket.strip()
    ]
    return f"Ticket {ticket.strip()} is on record for truck {same[0]}. {AGAIN}" if same else ""


def no_such_truck(log: PourLog, truck: int) -> str:
    known = [t.number for t in log.trucks]
    if truck in known:
        return ""
    on_record = f"on record: {', '.join(map(str, known))}" if known else "none is on record"
    return f"There is no ticket of truck {truck}; {on_record}. {AGAIN}"


def minutes_off(ticket: TruckTicket | None, minutes: float, now: datetime) -> str:
    """Minutes of a truck that is on site now, against the time on its own ticket."""
    if ticket is None or not ticket.on_site or (age := ticket.minutes(now)) is None:
        return ""
    batched = f"the ticket was batched {age:.0f} min ago. {AGAIN}"
    if minutes > age + AHEAD_MIN:
        return f"{minutes:g} min after batching is still to come: {batched}"
    if minutes < age - LATE_MIN:
        return f"{minutes:g} min after batching was {age - minutes:.0f} min ago: {batched}"
    return ""


def discharged_anyway(truck: Truck | None) -> str:
    """Concrete that is not to be taken: it is recorded all the same, and the engineer answers for it."""
    if truck is None or truck.decision not in (Decision.REJECT, Decision.ENGINEER):
        return ""
    of = ", ".join(c.title.lower() for c in truck.because)
    return (
        f"{truck.decision.capitalize()}: {of}. Discharged anyway? "
        "Press once more; it is recorded as a deviation."
    )
