"""Judges each entry as it arrives: work begun through a closed gate is on record and leaves a deviation.

The deviation names the gate's sentence at the moment of our receipt and stands until answered.
"""

from __future__ import annotations

from datetime import datetime

from installs.checklists.models import Entry
from installs.checklists.standing import not_done
from installs.gates.by_card import ByCard, by_card
from installs.gates.facts import facts_of
from installs.gates.rules import GateState, gate
from installs.jobs.deviations import BEGUN_TOO_EARLY, BY_CARD
from installs.jobs.models import Job, PhaseState
from installs.jobs.phases import gate_of, title_of
from installs.jobs.reading import as_known
from installs.jobs.services import open_deviation, write_event
from installs.people.models import User
from sitecalc.wording import clock_words, day_words


def judge(job: Job, entry: Entry, by: User, at: datetime) -> None:
    """The entry may show that the work behind a gate has begun: then the phase is on record as started."""
    item = entry.item
    key = item.gate if item else ""
    if item is None or not key or not_done(entry) or job.phases.filter(key=key).exists():
        return
    gate_key = gate_of(key)
    # what came late, from a place without signal, is judged by the gate as it was when it was done: one that
    # has opened since gave no permission then
    began = min(entry.happened_at, at)
    with as_known(began):
        facts = facts_of(job, began)
    state = gate(gate_key, facts, job.local(began).date(), today=job.local(at).date()) if gate_key else None
    closed = state if state is not None and not state.open else None
    card = by_card(job, at, facts) if key == "pour" and closed else None
    PhaseState.objects.create(job=job, key=key, started_at=began, started_by=by)
    write_event(
        job, "phase started", f"{title_of(key)} begun, by entry {entry}.", by=by, at=at, data={"phase": key}
    )
    if closed is None:
        return
    if card is not None and card.card is not None and _covers(card, card.card, entry):
        _on_the_card(job, entry, card.signed, card.card, closed, by, at)
    else:
        kind = BEGUN_TOO_EARLY[key]
        open_deviation(
            job,
            kind.title.format(begun=title_of(key).lower()),
            f"{item.wording} was recorded by {by.full_name}. The gate: {closed.sentence}"
            f"{_since(job, closed, at)}",
            by=by,
            at=at,
            gate=closed.key,
            entry=entry,
            kind=kind,
        )


def _since(job: Job, closed: GateState, at: datetime) -> str:
    """That the gate has opened between the work and the entry of it."""
    day = job.local(at).date()
    return " It has opened since." if gate(closed.key, facts_of(job, at), day).open else ""


def _covers(found: ByCard, card: Entry, entry: Entry) -> bool:
    """The card was signed before the work that it stands in for."""
    return found.provisional and card.happened_at <= entry.happened_at


def _on_the_card(
    job: Job, entry: Entry, signed: str, card: Entry, closed: GateState, by: User, at: datetime
) -> None:
    signed_at = job.local(card.happened_at)
    when = f"{day_words(signed_at, year=True)}, {clock_words(signed_at)}"
    open_deviation(
        job,
        BY_CARD.title,
        f"{signed} signed the card, photographed {when} (entry {card.sequence}). Provisional until "
        f"the office records that inspection. The gate: {closed.sentence}",
        by=by,
        at=at,
        gate=closed.key,
        entry=entry,
        kind=BY_CARD,
    )
