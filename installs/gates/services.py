"""Permission: starting a phase asks its gate, finishing it asks its lists.

Inside one transaction with the job locked, so that what the gate was asked about cannot change
before it is written.
"""

from __future__ import annotations

from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from installs.checklists.state import open_items
from installs.gates.facts import facts_of
from installs.gates.rules import GateState, gate, stops_of, unfinished, unfinished_before
from installs.gates.shown import phase_shown
from installs.jobs.getters import locked
from installs.jobs.models import Job, PhaseState
from installs.jobs.phases import BY_KEY, STARTABLE, gate_of, title_of
from installs.jobs.services import write_event
from installs.people.models import User
from installs.sent.seen import Seen
from sitecalc.wording import clock_words, day_words


class GateClosed(ValidationError):
    """Permission refused; ``state`` says why, what would open the gate, and when that is expected."""

    def __init__(self, state: GateState) -> None:
        super().__init__(f"{state.title}: {state.sentence[0].lower()}{state.sentence[1:]}")
        self.state = state


def gate_now(job: Job, key: str, at: datetime, on: date | None = None) -> GateState:
    """The gate from the facts in the database as they are at ``at``: on that day, or for the day ``on``."""
    today = job.local(at).date()
    return gate(key, facts_of(job, at), on or today, today=today)


def phase_now(job: Job, key: str, at: datetime) -> Seen:
    """What a page that offers to start or finish the phase shows of it at ``at``."""
    state = job.phases.select_related("started_by", "finished_by").filter(key=key).first()
    return phase_shown(job, key, facts_of(job, at), state, job.local(at).date())


@transaction.atomic
def start_phase(job: Job, key: str, *, by: User, at: datetime) -> PhaseState:
    """Start a phase or an energizing step. GateClosed if its gate is closed; once started it stays so."""
    job = locked(job)
    if key not in STARTABLE:
        raise ValidationError("There is no such phase.")
    kept = job.phases.filter(key=key).first()
    if kept:
        return kept
    facts = facts_of(job, at)
    if stops := stops_of(key, facts):
        raise ValidationError(f"{title_of(key)} cannot start: {stops[0]}.")
    before = unfinished_before(key, facts)
    if before:
        raise ValidationError(f"{title_of(key)} cannot start: {', '.join(before).lower()} not finished.")
    gate_key = gate_of(key)
    if gate_key:
        state = gate(gate_key, facts, job.local(at).date())
        if not state.open:
            raise GateClosed(state)
    started = PhaseState.objects.create(job=job, key=key, started_at=at, started_by=by)
    write_event(job, "phase started", f"{title_of(key)} started.", by=by, at=at, data={"phase": key})
    return started


@transaction.atomic
def finish_phase(job: Job, key: str, *, by: User, at: datetime) -> PhaseState:
    """Finish a started phase; refused while items of its lists are open, which are named."""
    job = locked(job)
    kept = job.phases.filter(key=key).first()
    if kept is None:
        raise ValidationError(f"{title_of(key)} has not been started.")
    if kept.finished_at:
        return kept
    if at < kept.started_at:
        started, now = (
            f"{day_words(t, year=True)} {clock_words(t)}" for t in map(job.local, (kept.started_at, at))
        )
        raise ValidationError(
            f"{title_of(key)} was started {started}, and the server's clock says {now}: have it set right."
        )
    missing = open_items(job, key)
    if missing:
        shown = "; ".join(missing[:3]) + (f"; and {len(missing) - 3} more" if len(missing) > 3 else "")
        raise ValidationError(
            f"{title_of(key)} cannot be finished: {len(missing)} open on its lists: {shown}."
        )
    if key in BY_KEY and BY_KEY[key].checklists and not job.lists.filter(phase=key).exists():
        raise ValidationError(f"{title_of(key)} cannot be finished: its checklist is not in the job.")
    still = unfinished(key, facts_of(job, at))
    if still:
        raise ValidationError(f"{title_of(key)} cannot be finished: {still}.")
    kept.finished_at, kept.finished_by = at, by
    kept.save(update_fields=["finished_at", "finished_by"])
    write_event(job, "phase finished", f"{title_of(key)} finished.", by=by, at=at, data={"phase": key})
    return kept
