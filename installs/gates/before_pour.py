"""What the gates know of the day of a pour, for the ready list of the pour's own room, which stands below."""

from __future__ import annotations

from datetime import date, datetime

from installs.gates.facts import facts_of
from installs.gates.job_facts import JobFacts
from installs.gates.rules import gate
from installs.jobs.models import Job
from installs.pour.readiness import DayFacts


def day_facts(job: Job, at: datetime) -> DayFacts:
    """What the pour's gate misses as known at ``at``, and the newest locate ticket."""
    facts = facts_of(job, at)
    return DayFacts(gate("pour", facts, job.local(at).date()).missing, *_ticket(facts))


def _ticket(facts: JobFacts) -> tuple[str, date | None]:
    held = [p for p in facts.permits if p.kind == "locate" and (p.in_hand or p.expires_on)]
    if not held:
        return "", None
    newest = held[-1]
    return newest.number or "ticket in hand", newest.expires_on
