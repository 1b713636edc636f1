"""What who starts or finishes a phase has read of it: its state, its gate today, what it waits for.

A page that shows the button carries these lines, and the press is held to them with the job locked.
"""

from __future__ import annotations

from datetime import date, datetime

from installs.gates.job_facts import JobFacts
from installs.gates.rules import gate, unfinished, unfinished_before
from installs.jobs.models import Job, PhaseState
from installs.jobs.phases import gate_of, title_of
from installs.sent.seen import Seen, of_lines
from sitecalc.wording import clock_words, day_words


def phase_shown(job: Job, key: str, facts: JobFacts, state: PhaseState | None, today: date) -> Seen:
    """``key`` is a phase or an energizing step; ``state`` its row, None while it has not begun.

    The gate is that of today, for today is when the button is pressed, whatever day the page is about.
    """
    lines = [("state", title_of(key), _stands(job, state))]
    if state is None:
        gate_key = gate_of(key)
        if gate_key:
            lines.append(("gate", "Gate, today", gate(gate_key, facts, today).sentence))
        before = unfinished_before(key, facts)
        lines.append(("before", "Not finished before it", ", ".join(before) or "nothing"))
    elif state.finished_at is None:
        lines.append(("open", "Open before it is finished", unfinished(key, facts) or "nothing"))
    return of_lines(lines)


def _stands(job: Job, state: PhaseState | None) -> str:
    if state is None:
        return "not started"
    words = f"started {_when(job, state.started_at)} by {state.started_by.full_name}"
    if state.finished_at is None or state.finished_by is None:
        return words
    return f"{words}, finished {_when(job, state.finished_at)} by {state.finished_by.full_name}"


def _when(job: Job, at: datetime) -> str:
    here = job.local(at)
    return f"{day_words(here, year=True)}, {clock_words(here)}"
