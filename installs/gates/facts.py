"""Loads the facts of the gates: many jobs, a constant number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any

from installs.checklists.models import Entry, Item, Weight
from installs.checklists.standing import by_code, lacking, satisfies
from installs.checklists.state import open_words
from installs.checklists.subjects import Subjects, names_for, subjects_in
from installs.gates.rules import CureFact, JobFacts, LiftFact, PermitFact, TowerFact
from installs.inspection.models import Inspection
from installs.inspection.review import written_acceptance
from installs.jobs.deviations import held_by
from installs.jobs.models import DesignRevision, Deviation, Job, PhaseState
from installs.jobs.standing import footings
from installs.lift.review import load_lifts
from installs.permits.models import Permit
from installs.pour.review import load_cures
from installs.pour.tonight import tonight_at
from installs.tower.review import load_torque
from sitecalc.checks import Verdict, nothing_checked

# Hold points that the cure gate itself judges from field-cured evidence: a foreman's tick cannot meet them.
JUDGED_BY_CURE = frozenset({"E08"})
ROTOR_LOCKED = "I03"


def facts_of(job: Job, at: datetime, planned: dict[str, date] | None = None) -> JobFacts:
    return load_facts([job], at, {job.pk: planned or {}})[job.pk]


def load_facts(
    jobs: Iterable[Job], at: datetime, planned: Mapping[int, dict[str, date]] | None = None
) -> dict[int, JobFacts]:
    """Facts by job pk as they are known at ``at``; ``planned`` gives last planned days by job and phase."""
    jobs = list(jobs)
    keys = [job.pk for job in jobs]
    permits = _grouped(Permit.objects.filter(job__in=keys, withdrawn_on=None).order_by("pk"))
    inspections = _grouped(_visits(keys))
    phases = _grouped(PhaseState.objects.filter(job__in=keys))
    items = defaultdict(list)
    for item in Item.objects.filter(list__job__in=keys).select_related("list"):
        items[item.list.job_id].append(item)
    hold_entries = _grouped(
        Entry.objects.filter(job__in=keys, item__weight=Weight.HOLD)
        .select_related("item")
        .order_by("sequence")
    )
    deviations = _grouped(Deviation.objects.filter(job__in=keys).prefetch_related("answers"))
    standing = footings(jobs)
    foundations = _newest_foundations(keys)
    cures, torque, lifts = load_cures(jobs, at), load_torque(jobs), load_lifts(jobs, at)
    found = {}
    for job in jobs:
        day = job.local(at).date()
        revision = foundations.get(job.pk)
        entries = by_code(hold_entries[job.pk])
        visits = [i for i in inspections[job.pk] if i.inspected_on <= day]
        written = written_acceptance(visits)
        found[job.pk] = JobFacts(
            site_released="site" in standing[job.pk].in_force,
            permits=tuple(_permit(p, day) for p in permits[job.pk]),
            foundation_letter=revision.letter if revision else "",
            foundation_unanswered=_unanswered(revision),
            void={
                part: words
                for part, r in standing[job.pk].in_force.items()
                if (words := standing[job.pk].void(r))
            },
            authority_inspects_footing=job.authority_inspects_footing,
            inspections={i.kind: i.passed for i in visits},
            started=frozenset(p.key for p in phases[job.pk]),
            finished=frozenset(p.key for p in phases[job.pk] if p.finished_at),
            holds_missing=_holds_missing(
                items[job.pk], entries, subjects_in(standing[job.pk].in_force.values())
            ),
            lists_copied=frozenset(i.list.phase for i in items[job.pk]),
            cure=_cure(cures.get(job.pk), at),
            tower=_tower(torque.get(job.pk)),
            lifts={
                w: _lift(lifts[job.pk, w]) for w in ("tower lift", "turbine lift") if (job.pk, w) in lifts
            },
            rotor_locked=bool(locked := entries.get(ROTOR_LOCKED)) and satisfies(locked[-1]),
            concrete_accepted=_accepted(written.accepted, cures.get(job.pk)),
            acceptance_why=written.why,
            held=_held(deviations[job.pk]),
            planned=(planned or {}).get(job.pk, {}),
        )
    return found


def _grouped(rows: Iterable[Any]) -> dict[int, list[Any]]:
    groups: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        groups[row.job_id].append(row)
    return groups


def _visits(keys: list[int]) -> Iterable[Inspection]:
    rows = Inspection.objects.filter(job__in=keys).select_related("engineer")
    return rows.order_by("inspected_on", "pk")


def _newest_foundations(keys: list[int]) -> dict[int, DesignRevision]:
    revisions = DesignRevision.objects.filter(job__in=keys, part="foundation").prefetch_related("acceptances")
    return {r.job_id: r for r in revisions.order_by("released_at", "pk")}


def _unanswered(revision: DesignRevision | None) -> tuple[str, ...]:
    """Checks of a release that fail or are not checked and not accepted, read again rather than trusted."""
    if revision is None:
        return ()
    accepted = {a.check_key for a in revision.acceptances.all()}
    if nothing_checked(Verdict(c["verdict"]) for c in revision.checks):
        return ("nothing was checked",)
    return tuple(
        c["title"] for c in revision.checks if Verdict(c["verdict"]).needs_answer and c["key"] not in accepted
    )


def _permit(permit: Permit, day: Any) -> PermitFact:
    return PermitFact(
        kind=permit.kind,
        words=permit.get_kind_display(),
        in_hand=permit.in_hand(day),
        number=permit.number,
        promised_on=permit.promised_on,
        expires_on=permit.expires_on,
        asked=permit.asked_on is not None,
        refused=permit.refused_on is not None,
    )


def _held(deviations: list[Deviation]) -> dict[str, tuple[str, ...]]:
    """What each gate waits for of what deviated before it."""
    held: dict[str, list[str]] = defaultdict(list)
    for deviation in deviations:
        gate = held_by(deviation.kind, engineer_decides=deviation.engineer_decides)
        if gate and deviation.waits_for:
            held[gate].append(deviation.waits_for)
    return {gate: tuple(words) for gate, words in held.items()}


def _holds_missing(
    items: list[Item], entries: dict[str, list[Entry]], subjects: Subjects
) -> dict[str, tuple[str, ...]]:
    missing: dict[str, list[str]] = defaultdict(list)
    for item in items:
        if item.weight != Weight.HOLD or item.code in JUDGED_BY_CURE:
            continue
        of = lacking(item, entries.get(item.code, ()), names_for(item, subjects))
        if of:
            missing[item.list.phase].append(open_words(item, of))
    return {phase: tuple(words) for phase, words in missing.items()}


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


def _lift(state: Any) -> LiftFact:
    return LiftFact(
        signed=state.signed, letter=state.letter, missing=tuple(state.missing), lift_on=state.lift_on
    )
