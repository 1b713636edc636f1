"""Checks of the pour as designed, and the state of pours and cures for gates, pages and papers."""

from __future__ import annotations

from collections import OrderedDict, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from threading import Lock
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import OuterRef, QuerySet, Subquery

from installs.checklists.models import Entry
from installs.checklists.standing import happened
from installs.jobs.getters import phases_begun
from installs.jobs.models import DesignRevision, Deviation, DeviationAnswer, Job
from installs.jobs.reading import moment, read_once
from installs.jobs.standing import footings
from installs.pour.cure import cure_state
from installs.pour.facts import Cure, CureFacts, CureState, EarlyFact, NoticeFact
from installs.pour.field_log import (
    CODES,
    EVAPORATION,
    RULE_OF,
    SHOWN,
    STOPPED,
    PourLog,
    TruckTicket,
    read_log,
)
from installs.pour.models import EarlyRelease, PourDesign, StrengthNotice
from installs.pour.terms import PourTerms, terms_of
from sitecalc.cases import drawn_from
from sitecalc.checks import Check
from sitecalc.foundation.take_off import Delivery
from sitecalc.inputs import InputError
from sitecalc.pour.cold import accelerator_check
from sitecalc.pour.mix import MixCase, mix
from sitecalc.pour.placing import (
    MINUTES,
    Limit,
    Truck,
    air_range,
    judged,
    limits_of,
    slump_range,
    temperature_range,
)
from sitecalc.pour.readings import midnight

AFTER_CURE = "tower lift"  # the phase that the cure's gate opens

__all__ = ["Cure", "CureState", "load_cures", "pour_facts", "review"]


@dataclass(frozen=True, kw_only=True)
class PourResults:
    """What is frozen on release beside inputs and checks."""

    required_psi: float
    order_yd3: float | None
    loads_yd3: tuple[float, ...]
    slump_in: tuple[float, float] | None
    air_pct: tuple[float, float] | None
    concrete_f: tuple[float, float] | None
    most_minutes: float
    curing_days: float


@dataclass(frozen=True)
class Review:
    checks: tuple[Check, ...]
    results: PourResults
    terms: PourTerms
    order: Delivery | None


def review(draft: PourDesign) -> Review:
    """Checks of the mix, the order, and the limits of a truck. InputError for what must be given."""
    terms = terms_of(draft.inputs())
    figures = terms.figures
    if figures.fc_psi is None:
        raise InputError("fc_psi", "give the specified strength of the mix.")
    made = mix(drawn_from(MixCase, figures, foundation_fc_psi=terms.pad.get("fc_psi")))
    ordered, limits = terms.order(), terms.limits()
    results = PourResults(
        required_psi=made.required_psi,
        order_yd3=ordered.order_yd3 if ordered else None,
        loads_yd3=ordered.loads_yd3 if ordered else (),
        slump_in=slump_range(limits) if limits else None,
        air_pct=air_range(limits) if limits else None,
        concrete_f=temperature_range(limits, None) if limits else None,
        most_minutes=figures.most_minutes,
        curing_days=figures.curing_days,
    )
    return Review((*made.checks, *_placing(terms)), results, terms, ordered)


def _placing(terms: PourTerms) -> tuple[Check, ...]:
    """What can be said before the day: layers fresh on fresh, the accelerator, the calibration."""
    planned, calibrated = terms.layers(), terms.calibrated()
    return (
        accelerator_check(terms.figures.accelerator),
        *(planned.checks if planned else ()),
        *(calibrated.checks if calibrated else ()),
    )


# --- the field record -------------------------------------------------------------------------------


def load_cures(jobs: Iterable[Job], at: datetime) -> dict[int, CureState]:
    """State of pour and cure by job pk as known at ``at``, in a constant number of queries.

    A state is worked out once for the same record and day: the entries of a job are read only when
    the newest of them, the release, a notice or the day has changed.
    """
    asked = list(jobs)
    if not asked:
        return {}
    keys = [job.pk for job in asked]
    newest = _newest_entries(keys, at)
    revisions = _revisions(asked, at)
    notices, early = _notices(keys, at), _early(keys, at)
    stops = _stops([key for key in keys if key in newest], at) if newest else {}
    passed = _passed(asked, at)
    prints = {
        job.pk: (
            job.pk,
            moment(),
            job.zone,
            newest.get(job.pk, ""),
            revisions[job.pk].sha256 if job.pk in revisions else "",
            tuple(notices[job.pk]),
            early.get(job.pk),
            stops.get(job.pk),
            passed.get(job.pk),
        )
        for job in asked
    }
    days = {job.pk: job.local(at).date() for job in asked}
    states = {pk: kept for pk, key in prints.items() if (kept := _state_kept(key, days[pk])) is not None}
    waiting = [job for job in asked if job.pk not in states]
    begun = [job for job in waiting if newest.get(job.pk)]
    logs = _logs(begun, at) if begun else {}
    for job in waiting:
        facts = CureFacts(
            job.zone,
            logs.get(job.pk) or read_log((), job.zone),
            _released_figures(revisions.get(job.pk)),
            tuple(notices[job.pk]),
            early.get(job.pk),
            stop_answered=stops.get(job.pk, False),
            passed_on=passed.get(job.pk),
        )
        states[job.pk] = _keep(prints[job.pk], days[job.pk], cure_state(facts, at), facts)
    return states


def pour_facts(job: Job, at: datetime) -> CureFacts:
    """The facts of one job, for its pages and papers."""
    keys = [job.pk]
    return CureFacts(
        job.zone,
        _logs([job], at)[job.pk],
        _released_figures(_revisions([job], at).get(job.pk)),
        tuple(_notices(keys, at)[job.pk]),
        _early(keys, at).get(job.pk),
        stop_answered=_stops(keys, at).get(job.pk, False),
        passed_on=_passed([job], at).get(job.pk),
    )


_kept: OrderedDict[tuple[Any, ...], tuple[date, CureState]] = OrderedDict()
_keeping = Lock()
MOST_KEPT = 2000


def _state_kept(key: tuple[Any, ...], day: date) -> CureState | None:
    """The state of the same record on the same day, or on a later one than that on which it was ready."""
    found = _kept.get(key)
    if found is None:
        return None
    worked_out_on, state = found
    return state if worked_out_on == day or (state.ready and worked_out_on <= day) else None


def _keep(key: tuple[Any, ...], day: date, state: CureState, facts: CureFacts) -> CureState:
    """A record with an unreadable file is worked out anew each time: the file may come back."""
    if not facts.log.faults:
        with _keeping:
            _kept[key] = (day, state)
            while len(_kept) > MOST_KEPT:
                _kept.popitem(last=False)
    return state


def _newest_entries(keys: list[int], at: datetime) -> dict[int, str]:
    """Hash of the newest entry about pour and cure: it covers every entry of the job before it."""
    of_job = _received(Entry.objects.filter(job=OuterRef("pk"), code__in=CODES), at)
    newest = of_job.order_by("-sequence").values("hash")[:1]
    rows = Job.objects.filter(pk__in=keys).annotate(newest=Subquery(newest)).values_list("pk", "newest")
    return {pk: found for pk, found in rows if found}


@read_once
def _passed(jobs: list[Job], at: datetime) -> dict[int, date]:
    """Of jobs whose tower lift has begun: on which day at the site."""
    begun = phases_begun(jobs)
    return {
        job.pk: job.local(state.started_at).date()
        for job in jobs
        for state in begun[job.pk]
        if state.key == AFTER_CURE and state.started_at <= at
    }


@read_once
def _stops(keys: list[int], at: datetime) -> dict[int, bool]:
    """Of jobs whose pour was stopped: whether an engineer has answered every stop."""
    found: dict[int, bool] = {}
    rows = Deviation.objects.filter(job__in=keys, entry__code=STOPPED, opened_at__lte=at)
    for deviation in rows.prefetch_related("answers"):
        answers = [a for a in deviation.answers.all() if a.answered_at <= at and a.engineer_id]
        settled = bool(answers) and answers[-1].decision != DeviationAnswer.Decision.REMOVE
        found[deviation.job_id] = found.get(deviation.job_id, True) and settled
    return found


def _received(rows: QuerySet[Entry], at: datetime) -> QuerySet[Entry]:
    """Those that we had; as of an earlier moment all, for what happened until then may have come later."""
    return rows.filter(received_at__lte=at) if moment() is None else rows


@read_once
def _logs(jobs: list[Job], at: datetime) -> dict[int, PourLog]:
    """The field record of each of these pours, read."""
    found: dict[int, list[Entry]] = {job.pk: [] for job in jobs}
    rows = _received(Entry.objects.filter(job__in=list(found), code__in=(*CODES, *SHOWN)), at)
    for entry in filter(happened, rows.select_related("item", "person").order_by("sequence")):
        found[entry.job_id].append(entry)
    return {job.pk: read_log(found[job.pk], job.zone) for job in jobs}


def _revisions(jobs: list[Job], at: datetime) -> dict[int, DesignRevision]:
    releases = (r for standing in footings(jobs).values() for r in standing.earlier)
    return {r.job_id: r for r in releases if r.part == "pour" and r.released_at <= at}


def _released_figures(revision: DesignRevision | None) -> PourTerms | None:
    return terms_of(revision.inputs, revision.letter) if revision else None


@read_once
def _notices(keys: list[int], at: datetime) -> dict[int, list[NoticeFact]]:
    found: dict[int, list[NoticeFact]] = defaultdict(list)
    rows = list(StrengthNotice.objects.filter(job__in=keys, recorded_at__lte=at).order_by("written_on", "pk"))
    corrected = {r.corrects_id for r in rows}
    for row in rows:
        if row.pk not in corrected:
            found[row.job_id].append(notice_fact(row))
    return found


def notice_fact(row: StrengthNotice) -> NoticeFact:
    return NoticeFact(
        cure=row.cure,
        age_days=row.age_days,
        diameter_in=row.diameter_in,
        cylinders=tuple((str(c["mark"]), float(c["psi"])) for c in row.cylinders),
        average_psi=row.average_psi,
        signer=row.signer,
        firm=row.firm,
        written_on=row.written_on,
        loads_lb=tuple(c.get("load_lb") for c in row.cylinders),
    )


@read_once
def _early(keys: list[int], at: datetime) -> dict[int, EarlyFact]:
    """The newest release by an engineer that was not withdrawn."""
    rows = list(
        EarlyRelease.objects.filter(job__in=keys, released_at__lte=at)
        .select_related("engineer")
        .order_by("released_at", "pk")
    )
    withdrawn = {r.withdraws_id for r in rows}
    return {
        r.job_id: EarlyFact(r.engineer.named, r.reason, r.released_at)
        for r in rows
        if r.pk not in withdrawn and r.withdraws_id is None
    }


# --- trucks -----------------------------------------------------------------------------------------


def table_of(ticket: TruckTicket | None, terms: PourTerms | None, air_f: float | None) -> tuple[Limit, ...]:
    """The limits in force for a truck, with the water that its ticket allows; none where none are known."""
    allowed = ticket.more("water_allowed_gal") if ticket else None
    limits = terms.limits(allowed) if terms else None
    return limits_of(limits, air_f) if limits else ()


def judged_truck(
    ticket: TruckTicket, terms: PourTerms | None, air_f: float | None, now: datetime | None = None
) -> Truck | None:
    """A truck against the limits in force, its age up to ``now``; None where no limits are known."""
    table = table_of(ticket, terms, air_f)
    if not table:
        return None
    readings = {rule.key: ticket.figure(code) for code, rule in RULE_OF.items()}
    readings[MINUTES.key] = ticket.minutes(now)
    return judged(table, readings, frozenset(RULE_OF[c].key for c in ticket.cannot if c in RULE_OF))


def air_of_day(log: PourLog, zone: ZoneInfo, at: datetime) -> float | None:
    """Lowest air recorded on the day of the pour, which is today until a truck was discharged; F.

    Any reading of it counts: beside the pour, of a sensor in the air, or beside the evaporation.
    """
    day = log.poured_on or at.astimezone(zone).date()
    begin, end = midnight(day, zone), midnight(day + timedelta(days=1), zone)
    on_day = [t.since(begin).until(end) for t in log.temperatures.air.values()]
    read = [float(t.temp_f.min()) for t in on_day if len(t)]
    beside = [row.entry for row in log.told.get(EVAPORATION, ()) if begin <= row.entry.happened_at <= end]
    read += [e.said["air_f"] for e in beside if "air_f" in e.said]
    return min(read, default=None)
