"""The job book from top to bottom: each phase with its state, drawing, day log and papers; gates between."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from django.db.models import Prefetch

from installs.book.drawings import drawing_of
from installs.checklists.models import Entry
from installs.checklists.received import receipt_words
from installs.checklists.standing import struck_keys
from installs.gates.facts import facts_of
from installs.gates.job_facts import CureFact, JobFacts
from installs.gates.rules import GateState, gate_ahead, may_start
from installs.gates.shown import phase_shown
from installs.gates.states import Standing, phase_states
from installs.jobs.getters import phases_begun, stands_under
from installs.jobs.models import Deviation, DeviationAnswer, Event, Job, PhaseState
from installs.jobs.parts import TABLE
from installs.jobs.phases import BY_KEY, ENERGIZING, PHASES, Phase
from installs.papers.catalog import packet_of
from installs.sent.seen import Seen
from installs.utility.standing import APPLICATION, utilities
from sitecalc.wording import quantity_words

MOST_LINES = 6
BY_LOG = {"maintenance"}  # its drawing is of the meters that were read, and a reading is a line of the log
MOST_READ = 400  # of the log, and of the entries
VERB_PHASE = {
    "utility application": "permits",
    "permit recorded": "permits",
    "strength notice": "cure",
    "early release": "cure",
    "meters read": "maintenance",
}
INSPECTION_PHASE = {
    "footing": "excavation",
    "rough-in": "ground station",
    "electrical": "ground station",
    "concrete acceptance": "cure",
    "special": "pour",
    "annual": "maintenance",
}


@dataclass(frozen=True)
class LogLine:
    at: datetime
    words: str
    who: str
    struck: str = ""
    counts: bool = True  # of what cannot be read neither words nor time count


@dataclass
class PhaseRow:
    phase: Phase
    state: PhaseState | None
    standing: Standing
    gates: list[tuple[GateState, PhaseState | None]]
    drawing: str = ""
    lines: list[LogLine] = field(default_factory=list)
    papers: list[Any] = field(default_factory=list)
    deviations: list[Deviation] = field(default_factory=list)
    missing: tuple[str, ...] = ()
    utility: tuple[str, bool] = ("", False)  # the application: how far, and whether somebody must act
    void: tuple[str, ...] = ()  # why releases of this phase's parts no longer stand
    grown: CureFact | None = None  # the cure under way
    first_on: date | None = None
    last_on: date | None = None
    here: bool = False
    may_start: bool = False
    shown: dict[str, Seen] = field(default_factory=dict)  # of the phase and its energizing steps, by key

    @property
    def behind(self) -> bool:
        return self.standing == Standing.DONE


def rows(job: Job, at: datetime) -> list[PhaseRow]:
    """Every phase of the job as the book shows it."""
    facts = facts_of(job, at)
    day = job.local(at).date()
    states = {s.key: s for s in phases_begun([job])[job.pk]}
    standing = phase_states(facts)
    found = [
        PhaseRow(phase, states.get(phase.key), standing[phase.key], _gates(phase, facts, states, day))
        for phase in PHASES
    ]
    lines, deviations = _lines(job), _deviations(job)
    papers = defaultdict(list)
    for paper in job.papers.select_related("ordered_by").order_by("ordered_at"):
        papers[packet_of(paper.kind).phase].append(paper)
    for row in found:
        told = sorted(lines[row.phase.key], key=lambda line: line.at)
        row.lines = told[-MOST_LINES:]
        row.first_on, row.last_on = _dates(row, told, job, facts.cure)
        row.deviations = deviations[row.phase.key]
        row.papers = papers[row.phase.key]
        # what only the log's lines have to draw is not asked for where there is none
        row.drawing = drawing_of(row.phase.key, job, at) if told or row.phase.key not in BY_LOG else ""
        row.void = tuple(words for part, words in facts.void.items() if TABLE[part].phase == row.phase.key)
        # once it operates the look-ahead says what is another; the book of the years asks no more of it
        if row.phase.key == "permits" and "operation" not in facts.started:
            row.utility = _utility(job, told, whole=sum(map(len, lines.values())) < MOST_READ, at=at)
        row.may_start = may_start(row.phase.key, facts, day)
        row.shown = {key: phase_shown(job, key, facts, states.get(key), day) for key in _pressed(row)}
        if row.phase.key == "cure" and facts.cure and row.standing == Standing.UNDER_WAY:
            row.missing, row.grown = facts.cure.missing, facts.cure
        if row.phase.key == "tower assembly" and facts.tower and row.standing == Standing.UNDER_WAY:
            row.missing = (facts.tower.sentence,)
    first = next((r for r in found if not r.behind), None)
    if first:
        first.here = True
    return found


def _pressed(row: PhaseRow) -> list[str]:
    """What of it has a button to start or finish."""
    steps = [state.key for state, _ in row.gates] if row.phase.key == "commissioning" else []
    return steps if row.phase.by_facts else [row.phase.key, *steps]


def _dates(
    row: PhaseRow, told: list[LogLine], job: Job, cure: CureFact | None
) -> tuple[date | None, date | None]:
    """First and last day: as started and finished, of the pour and its forecast, or as written down."""
    if row.state:
        ends = (row.state.started_at, row.state.finished_at)
    elif row.phase.key == "cure":
        return (cure.poured_on, cure.expected) if cure else (None, None)
    elif row.phase.by_facts and any(line.counts for line in told):
        read = [line.at for line in told if line.counts]
        ends = (read[0], read[-1])
    else:
        return None, None
    first, last = (job.local(end).date() if end else None for end in ends)
    return first, last


def _gates(
    phase: Phase, facts: JobFacts, states: dict[str, PhaseState], day: Any
) -> list[tuple[GateState, PhaseState | None]]:
    if phase.key == "commissioning":
        return [(gate_ahead(step, facts, day), states.get(step)) for step in ENERGIZING]
    return [(gate_ahead(phase.gate, facts, day), states.get(phase.key))] if phase.gate else []


def _utility(job: Job, told: list[LogLine], *, whole: bool, at: datetime) -> tuple[str, bool]:
    """Of an application that the log tells of: what is another since it was sent, else how far it is."""
    if whole and not any(line.words.startswith(APPLICATION) for line in told):
        return "", False
    standing = utilities([job], at, clock=False)[job.pk]
    return standing.strip_words, standing.strip_acts


def _lines(job: Job) -> dict[str, list[LogLine]]:
    """Events and field entries as lines of a day log, by phase; corrected readings struck, not erased."""
    found: dict[str, list[LogLine]] = defaultdict(list)
    for event in job.events.select_related("by").order_by("-sequence")[:MOST_READ]:
        key = _phase_of(event)
        if key:
            found[key].append(LogLine(event.at, event.what, event.by.full_name))
    entries = job.entries.select_related("item__list", "person", "corrects").order_by("-sequence")[:MOST_READ]
    gone = struck_keys(reversed(entries))
    corrected = {e.corrects_id for e in entries if e.corrects_id and e.pk not in gone}
    for entry in entries:
        if entry.item and entry.pk not in corrected:
            found[entry.item.list.phase].append(_entry_line(job, entry, entry.item.wording))
    return found


def _phase_of(event: Event) -> str:
    if event.verb in VERB_PHASE:
        return VERB_PHASE[event.verb]
    if event.verb == "inspection recorded":
        return INSPECTION_PHASE.get(event.data.get("kind", ""), "")
    phase: str = event.data.get("phase", "")
    if phase in BY_KEY:
        return phase
    if phase in ENERGIZING:
        return "commissioning"
    part = TABLE.get(event.data.get("part", ""))
    return part.phase if part else ""


def _entry_line(job: Job, entry: Entry, what: str) -> LogLine:
    subject = f", {entry.subject}" if entry.subject else ""
    value = f": {quantity_words(entry.number, entry.unit)}" if entry.number is not None else ""
    note = f" {entry.text}" if entry.text else ""
    state = " not done." if entry.said.get("cannot") else " crossed out." if entry.struck else ""
    if entry.unreadable:
        value, state = "", f" cannot be read: {entry.unreadable}. It counts nothing."
    if entry.not_judged:
        state += " Not judged, by a fault of ours."
    apart = receipt_words(entry, job)
    late = f" ({apart})" if apart else ""
    before = entry.corrects
    old = quantity_words(before.number, before.unit) if before and before.number is not None else ""
    return LogLine(
        entry.happened_at,
        f"{entry.code} {what}{subject}{value}{note}{state}{late}",
        entry.person.full_name,
        old,
        counts=not entry.unreadable,
    )


def _deviations(job: Job) -> dict[str, list[Deviation]]:
    found: dict[str, list[Deviation]] = defaultdict(list)
    answers = Prefetch("answers", DeviationAnswer.objects.select_related("answered_by"))
    shown = job.deviations.select_related("opened_by", "entry__item__list").prefetch_related(answers)
    for deviation in shown:
        found[stands_under(deviation)].append(deviation)
    return found
