"""Permission and record: starting a phase asks its gate; a field entry is always taken.

Both inside one transaction with the job locked, so that what the gate was asked about cannot
change before it is written.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from installs.checklists.models import Entry
from installs.checklists.services import Taken, record
from installs.checklists.state import open_items
from installs.gates.by_card import ByCard, by_card
from installs.gates.facts import facts_of
from installs.gates.rules import GateState, gate, unfinished, unfinished_before
from installs.jobs.getters import locked
from installs.jobs.models import Job, PhaseState
from installs.jobs.phases import BY_KEY, ON_THE_CARD, STARTABLE, gate_of, title_of
from installs.jobs.services import open_deviation, write_event
from installs.people.models import User


class GateClosed(ValidationError):
    """Permission refused; ``state`` says why, what would open the gate, and when that is expected."""

    def __init__(self, state: GateState) -> None:
        super().__init__(f"{state.title}: {state.sentence[0].lower()}{state.sentence[1:]}")
        self.state = state


def gate_now(job: Job, key: str, at: datetime, planned: dict[str, date] | None = None) -> GateState:
    """The gate as it stands, from the facts in the database; ``planned`` only moves its forecast."""
    return gate(key, facts_of(job, at, planned), job.local(at).date())


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


@transaction.atomic
def take_entry(job: Job, *, by: User, received_at: datetime, **fields: Any) -> Taken:
    """Take a field entry, whatever the gates say; work done through a closed gate leaves a deviation.

    The deviation names the gate's sentence at the moment of our receipt and stands until answered.
    ``fields`` are those of checklists.services.record.
    """
    job = locked(job)
    taken = record(job, by=by, received_at=received_at, **fields)
    if taken.new and taken.entry.item and taken.entry.item.gate and not _not_done(taken.entry):
        _work_begun(job, taken.entry, by=by, at=received_at)
    if taken.new:
        for judge in JUDGES:
            judge(job, taken.entry, by, received_at)
    return taken


def _not_done(entry: Entry) -> bool:
    return bool(entry.data.get("failed") or entry.data.get("cannot"))


def _work_begun(job: Job, entry: Entry, *, by: User, at: datetime) -> None:
    """The entry shows that the work behind a gate has begun: the phase is on record as started."""
    key = entry.item.gate
    if job.phases.filter(key=key).exists():
        return
    facts, gate_key = facts_of(job, at), gate_of(key)
    state = gate(gate_key, facts, job.local(at).date()) if gate_key else None
    card = by_card(job, at, facts) if key == "pour" and state is not None and not state.open else None
    PhaseState.objects.create(job=job, key=key, started_at=min(entry.happened_at, at), started_by=by)
    write_event(
        job, "phase started", f"{title_of(key)} begun, by entry {entry}.", by=by, at=at, data={"phase": key}
    )
    if card is not None and state is not None and _covers(card, entry):
        when = job.local(card.card.happened_at)
        open_deviation(
            job,
            ON_THE_CARD,
            f"{card.signed} signed the card, photographed {when:%b} {when.day}, {when:%H:%M} (entry "
            f"{card.card.sequence}). Provisional until the office records that inspection. "
            f"The gate: {state.sentence}",
            by=by,
            at=at,
            gate=gate_key or "",
            entry=entry,
        )
    elif state is not None and not state.open:
        open_deviation(
            job,
            f"{title_of(key).lower()} with its gate closed",
            f"{entry.item.wording} was recorded by {by.full_name}. The gate: {state.sentence}",
            by=by,
            at=at,
            gate=gate_key or "",
            entry=entry,
            engineer_decides=key == "pour",
        )


def _covers(found: ByCard, entry: Entry) -> bool:
    """The card was signed before the work that it stands in for."""
    return found.provisional and found.card.happened_at <= entry.happened_at


# Rooms that judge an entry as it arrives (a truck over its limit, a frozen night, a failed bolt)
# add a function (job, entry, by, at) here; it may open deviations, it may not refuse.
JUDGES: list[Callable[[Job, Entry, User, datetime], None]] = []
