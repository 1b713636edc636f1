"""Loads the facts of the gates: many jobs, a constant number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from datetime import datetime
from typing import Any

from django.db.models import Count, Q

from installs.checklists.limits import Limits, limit_of, limits_of
from installs.checklists.models import Entry, Item, Weight
from installs.checklists.standing import by_code, happened, lacking, newest, satisfies
from installs.checklists.state import open_words
from installs.checklists.subjects import Subjects, names_for, subjects_in
from installs.gates.job_facts import CureFact, JobFacts, PermitFact, TowerFact, VisitFact
from installs.gates.planned import Planned, planned_days
from installs.inspection.models import Inspection
from installs.inspection.review import written_acceptance
from installs.jobs.deviations import held_by, stopped_by
from installs.jobs.getters import open_deviations, phases_begun
from installs.jobs.kept import Kept
from installs.jobs.models import DesignRevision, Job
from installs.jobs.reading import known, moment, one_reading, read_once
from installs.jobs.standing import Footing, footings
from installs.lift.review import load_lifts
from installs.permits.models import Permit
from installs.permits.standing import standing_permits
from installs.pour.review import load_cures
from installs.pour.tonight import tonight_at
from installs.tower.review import load_torque
from sitecalc.checks import Verdict, nothing_checked
from sitecalc.wording import quantity_words

# Hold points that the cure gate itself judges from field-cured evidence: a foreman's tick cannot meet them.
JUDGED_BY_CURE = frozenset({"E08"})
ROTOR_LOCKED = "I03"
CHECKED = ("foundation", "ground_station")
# what is tested under power before the turbine may run on its own, as its gate names it
TESTS = {"J07": "shutdown under power", "J08": "brake from running", "J09": "overspeed protection"}


@read_once
def facts_of(job: Job, at: datetime) -> JobFacts:
    return load_facts([job], at)[job.pk]


@one_reading()
def load_facts(jobs: Iterable[Job], at: datetime, planned: Planned | None = None) -> dict[int, JobFacts]:
    """Facts by job pk as they are known at ``at``: with them a gate is judged for any day.

    ``planned``: the crew days, where whoever asks has read them.
    """
    asked = list(jobs)
    keys = [job.pk for job in asked]
    permits = standing_permits(asked)
    inspections = _grouped(_visits(keys))
    phases = phases_begun(asked)
    items = defaultdict(list)
    for item in Item.objects.filter(list__job__in=keys).select_related("list"):
        items[item.list.job_id].append(item)
    limits = limits_of(asked)
    judged = {code for rows in limits.values() for _, code in rows}
    hold_entries = _grouped(
        Entry.objects.filter(Q(item__weight=Weight.HOLD) | Q(code__in={*TESTS, *judged}), job__in=keys)
        .select_related("item")
        .order_by("sequence"),
        happened,
    )
    deviations = open_deviations(asked)
    standing = footings(asked)
    checks = _checks_of(standing.values())
    cures, torque, lifts = load_cures(asked, at), load_torque(asked), load_lifts(asked)
    planned_of = planned_days(asked) if planned is None else planned
    found = {}
    for job in asked:
        day = job.local(at).date()
        in_force = standing[job.pk].in_force
        revision, station = in_force.get("foundation"), in_force.get("ground_station")
        entries = by_code(hold_entries[job.pk])
        visits = [i for i in inspections[job.pk] if i.inspected_on <= day]
        written = written_acceptance(visits)
        found[job.pk] = JobFacts(
            site_released="site" in standing[job.pk].in_force,
            permits=tuple(_permit(p, day) for p in permits[job.pk]),
            foundation_letter=revision.letter if revision else "",
            foundation_unanswered=_unanswered(revision, checks),
            station_letter=station.letter if station else "",
            station_unanswered=_unanswered(station, checks),
            station_digs=_digs(station),
            void={
                part: words
                for part, r in standing[job.pk].in_force.items()
                if (words := standing[job.pk].void(r))
            },
            authority_inspects_footing=job.authority_inspects_footing,
            authority_asks_electrical_permit=job.authority_asks_electrical_permit,
            inspections={i.kind: _visit(i, visits) for i in visits},
            begun_on={p.key: job.local(p.started_at).date() for p in phases[job.pk]},
            ended_on={p.key: job.local(p.finished_at).date() for p in phases[job.pk] if p.finished_at},
            tests_missing=_tests_missing(entries),
            started=frozenset(p.key for p in phases[job.pk]),
            finished=frozenset(p.key for p in phases[job.pk] if p.finished_at),
            holds_missing=_holds_missing(
                items[job.pk], entries, subjects_in(standing[job.pk].in_force.values()), limits[job.pk]
            ),
            beyond=_beyond(items[job.pk], entries, limits[job.pk]),
            lists_copied=frozenset(i.list.phase for i in items[job.pk]),
            cure=_cure(cures.get(job.pk), at),
            tower=_tower(torque.get(job.pk)),
            lifts={w: lifts[job.pk, w] for w in ("tower lift", "turbine lift") if (job.pk, w) in lifts},
            rotor_locked=any(satisfies(e) for e in entries.get(ROTOR_LOCKED, ())[-1:]),
            concrete_accepted=_accepted(written.accepted, cures.get(job.pk)),
            acceptance_why=written.why,
            held=_held(deviations[job.pk]),
            stopped=_stopped(deviations[job.pk]),
            planned={phase: days.work[-1] for phase, days in planned_of[job.pk].items() if days.work},
            crew_days=planned_of[job.pk],
        )
    return found


def _grouped(rows: Iterable[Any], of: Callable[[Any], bool] = bool) -> dict[int, list[Any]]:
    groups: dict[int, list[Any]] = defaultdict(list)
    for row in filter(of, rows):
        groups[row.job_id].append(row)
    return groups


def _visits(keys: list[int]) -> Iterable[Inspection]:
    """In their order, each with how many of its corrections nobody answered."""
    rows = known(Inspection.objects.filter(job__in=keys), "recorded_at").select_related("engineer")
    unanswered = Q(corrections__answered_at=None)
    if (at := moment()) is not None:
        unanswered |= Q(corrections__answered_at__gt=at)
    wanted = Count("corrections", filter=Q(corrections__isnull=False) & unanswered)
    return rows.annotate(to_correct=wanted).order_by("inspected_on", "pk")


# of a release what a gate asks of its checks, a hundredth of them, by the words that the database has of it
_CHECKS = Kept(most=20_000)
ASKED = ("key", "title", "verdict")


def _checks_of(standing: Iterable[Footing]) -> dict[int, Any]:
    """By release, of the parts whose own checks a gate asks."""
    # ``words`` is annotated by ``footings``
    asked: list[Any] = [f.in_force[part] for f in standing for part in CHECKED if part in f.in_force]

    def read(keys: list[int]) -> dict[int, Any]:
        rows = DesignRevision.objects.filter(pk__in=keys).values_list("pk", "checks")
        return {pk: tuple({name: each[name] for name in ASKED} for each in checks) for pk, checks in rows}

    return _CHECKS.each({r.pk: r.words for r in asked}, read)


def _digs(station: DesignRevision | None) -> bool:
    """Whether any run lies in the ground, and whoever does not know digs."""
    runs = station.inputs.get("runs") if station else None
    return not runs or any(run.get("location") != "not buried" for run in runs)


def _visit(visit: Any, visits: list[Any]) -> VisitFact:
    corrections = sum(v.to_correct for v in visits if v.kind == visit.kind)
    return VisitFact(visit.passed, visit.inspected_on, visit.proved, corrections)


def _tests_missing(entries: dict[str, list[Entry]]) -> tuple[str, ...]:
    return tuple(
        words for code, words in TESTS.items() if not (told := entries.get(code)) or not satisfies(told[-1])
    )


def _unanswered(revision: DesignRevision | None, checks: dict[int, Any]) -> tuple[str, ...]:
    """Checks of a release that fail or are not checked and not accepted, read again rather than trusted."""
    if revision is None:
        return ()
    accepted = {a.check_key for a in revision.acceptances.all()}
    told = checks[revision.pk]
    if nothing_checked(Verdict(c["verdict"]) for c in told):
        return ("nothing was checked",)
    return tuple(c["title"] for c in told if Verdict(c["verdict"]).needs_answer and c["key"] not in accepted)


def _permit(permit: Permit, day: Any) -> PermitFact:
    return PermitFact(
        kind=permit.kind,
        words=permit.get_kind_display(),
        in_hand=permit.granted_on is not None and permit.granted_on <= day and permit.proved,
        number=permit.number,
        promised_on=permit.promised_on,
        expires_on=permit.expires_on,
        asked=permit.asked_on is not None,
        refused=permit.refused_on is not None,
        unproved=permit.granted_on is not None and not permit.proved,
        valid_from=permit.valid_from,
    )


def _held(deviations: list[Any]) -> dict[str, tuple[str, ...]]:
    """What each gate waits for of what deviated before it."""
    held: dict[str, list[str]] = defaultdict(list)
    for deviation in deviations:
        gate = held_by(deviation.kind, engineer_decides=deviation.engineer_decides)
        waits = deviation.waits_for(deviation.decision)
        if gate and waits:
            held[gate].append(waits)
    return {gate: tuple(words) for gate, words in held.items()}


def _stopped(deviations: list[Any]) -> dict[str, tuple[str, ...]]:
    """By phase what somebody stopped it for, while nobody has said that it goes on."""
    stopped: dict[str, list[str]] = defaultdict(list)
    for deviation in deviations:
        phase, waits = stopped_by(deviation.kind), deviation.waits_for(deviation.decision)
        if phase and waits:
            stopped[phase].append(waits)
    return {phase: tuple(words) for phase, words in stopped.items()}


def _holds_missing(
    items: list[Item], entries: dict[str, list[Entry]], subjects: Subjects, limits: Limits
) -> dict[str, tuple[str, ...]]:
    missing: dict[str, list[str]] = defaultdict(list)
    for item in items:
        if item.weight != Weight.HOLD or item.code in JUDGED_BY_CURE:
            continue
        told = entries.get(item.code, ())
        of = lacking(item, told, names_for(item, subjects), limit_of(item, limits))
        if of:
            missing[item.list.phase].append(open_words(item, of))
    return {phase: tuple(words) for phase, words in missing.items()}


def _beyond(items: list[Item], entries: dict[str, list[Entry]], limits: Limits) -> dict[str, tuple[str, ...]]:
    """By the phase of the list, readings that stand beyond what the plan in force gives for them."""
    found: dict[str, list[str]] = defaultdict(list)
    for item in items:
        limit = limit_of(item, limits)
        for entry in newest(item, entries.get(item.code, ())).values() if limit.plan else ():
            if not limit.lacks and (stop := limit.stops(entry)):
                read = entry.text if entry.number is None else quantity_words(entry.number, entry.unit)
                found[item.list.phase].append(f"{item.code} {read} is {stop}")
    return {phase: tuple(words) for phase, words in found.items()}


def _cure(state: Any, at: datetime) -> CureFact | None:
    if state is None:
        return None
    return CureFact(
        ready=state.ready,
        missing=tuple(state.missing),
        expected=state.expected,
        poured=state.poured_on is not None,
        poured_on=state.poured_on,
        curing_days=state.curing_days,
        days_required=state.days_required,
        accepted=state.accepted,
        acceptance_missing=state.acceptance_missing,
        grout_missing=state.grout_missing,
        watch=state.watch,
        tonight=tonight_at(state.watch, at),
    )


def _accepted(written: bool | None, cure: Any) -> bool:
    """The written acceptance on record decides; without one the lab-cured tests at the designated age."""
    return written if written is not None else cure is not None and cure.accepted


def _tower(state: Any) -> TowerFact | None:
    return TowerFact(state.complete, state.sentence) if state is not None else None
