"""The state of a cure: a pure function of its facts and a day."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from installs.pour.acceptance import acceptance_of, grout_missing
from installs.pour.facts import Cure, CureFacts, CureState, EarlyFact, NoticeFact, in_tenths
from installs.pour.pad_age import after_pour, ever_read, governing_sensor, pad_ages, protected_until
from installs.pour.terms import UNSAID, PourTerms
from installs.pour.tonight import watched
from sitecalc.checks import Check, Verdict
from sitecalc.inputs import InputError
from sitecalc.pour.calibration import Calibrated, Predicted, verified
from sitecalc.pour.curing import MOST_DAYS, CuringCase, CuringLog, count_days, least_of
from sitecalc.pour.forecast import Forecast, ForecastCase, age_reached_on, forecast_curing
from sitecalc.pour.readings import midnight
from sitecalc.pour.strength import (
    CurveCase,
    Strength,
    StrengthCase,
    age_for,
    forecast_strength,
    strength,
)
from sitecalc.pour.thermal import Thermal, kept_warm, watch
from sitecalc.wording import day_words

SHORT_SHARE = 0.02  # of the net volume: what a ticket's yards may be off; common practice, no source


def cure_state(facts: CureFacts, at: datetime) -> CureState:
    return cure_of(facts, at).state


def cure_of(facts: CureFacts, at: datetime) -> Cure:
    """Everything about the cure at an instant. Closed by default: whatever is not known is missing."""
    terms, poured_on = facts.terms, facts.log.poured_on
    today = at.astimezone(ZoneInfo(facts.zone)).date()
    required_days = terms.curing_days if terms else UNSAID["curing_days"]
    missing: list[str] = []
    log = None
    if poured_on is None:
        missing.append("no pour recorded")
    else:
        log = _curing(facts, poured_on, required_days, today)
        if log is None:
            missing.append("the cure log cannot be read")
    total = log.total if log else 0.0
    notice = _governing(facts.notices, today)
    tested = _strength(terms, notice, _beside(notice, facts.notices, today))
    if log is not None and log.reached_on is None and facts.early is None:
        missing.append(f"{in_tenths(total)} of {required_days:g} curing days")
    missing += _strength_missing(terms, notice, tested, facts.notices)
    if facts.log.backfilled is None:
        missing.append("backfill not recorded to grade")
    if facts.log.surveyed is None:
        missing.append("bolt survey not recorded in tolerance")
    if poured_on is not None:
        missing += _unfinished(facts)
    forecast = _forecast(facts, log, required_days, today)
    by_day = pad_ages(facts)
    coldest, ages = governing_sensor(by_day), {a.day: a.age_days for a in by_day}
    strong = bool(tested and tested.checks[0].passes)
    strength_on = None if strong else _strength_expected(facts, notice, ages, today)
    expected = _expected(
        log, forecast, strength_on, strong=strong, early=facts.early is not None, today=today
    )
    accepted, acceptance_missing, accepting = acceptance_of(facts, today)
    state = CureState(
        poured_on=poured_on,
        curing_days=total,
        days_required=required_days,
        missing=tuple(missing),
        expected=expected if missing else None,
        strength_psi=tested.field_psi if tested else None,
        required_psi=terms.required_psi if terms else None,
        early_release=early_words(facts.early, facts.zone) if facts.early else None,
        backfilled=facts.log.backfilled is not None,
        surveyed=facts.log.surveyed is not None,
        ready=not missing,
        accepted=accepted,
        acceptance_missing=acceptance_missing,
        grout_missing=grout_missing(facts),
        watch=watched(facts, at),
    )
    warm = _kept_warm(facts)
    hot = _thermal(facts)
    calibrated, predicted, verifying = _predicted(facts, notice, ages)
    checks = (
        *(hot.checks if hot else ()),
        *verifying,
        *(log.checks if log else ()),
        *(tested.checks if tested else ()),
        *((warm,) if warm else ()),
    )
    age = ages[max(ages)] if ages else None
    return Cure(
        state, log, forecast, tested, notice, age, by_day, coldest, strength_on, checks, accepting, hot,
        calibrated, predicted,
    )  # fmt: skip


def _unfinished(facts: CureFacts) -> list[str]:
    """A stopped pour waits for the engineer; a form that the tickets do not fill is not poured yet."""
    stopped, net = facts.log.stopped, facts.terms.net_yd3 if facts.terms else None
    if stopped is not None:
        return [] if facts.stop_answered else ["pour stopped unfinished, the engineer has not answered"]
    if net is None or facts.log.yards >= net * (1 - SHORT_SHARE):
        return []
    return [f"{facts.log.yards:.1f} of {net:.1f} yd³ on record: the form is not full or a ticket is missing"]


def _thermal(facts: CureFacts) -> Thermal | None:
    """Spread, peak and cooling of the pad from its placing on."""
    terms, traces, written = facts.terms, after_pour(facts), facts.log.temperatures.written
    if terms is None or terms.least_dimension_in is None or not (traces or written):
        return None
    least_in, gap, until = terms.least_dimension_in, terms.figures.longest_gap_h, protected_until(facts)
    found = watch(traces, least_in, facts.zone, gap, until)
    if not written:
        return found
    first = watch(after_pour(facts, written), least_in, facts.zone, gap, until)
    return replace(found, checks=_worse(found.checks, first.checks))


def _worse(now: Sequence[Check], first: Sequence[Check]) -> tuple[Check, ...]:
    """A reading that was taken back never turns what failed with it into what passes."""
    failed = {c.key: c for c in first if c.verdict is Verdict.FAILS}
    kept = {c.key for c in now}
    return (*(failed.get(c.key, c) for c in now), *(c for key, c in failed.items() if key not in kept))


def _predicted(
    facts: CureFacts, notice: NoticeFact | None, ages: Mapping[date, float]
) -> tuple[Calibrated | None, Predicted | None, tuple[Check, ...]]:
    """Strength by the mix's calibration at the pad's age, and the calibration against field cylinders."""
    terms, poured_on = facts.terms, facts.log.poured_on
    try:
        made = terms.calibrated() if terms else None
    except InputError:
        return None, None, ()
    if made is None or made.calibration is None or not ages:
        return made, None, made.checks if made else ()
    checks = made.checks
    if notice is not None and poured_on is not None:
        age = ages.get(poured_on + timedelta(days=round(notice.age_days) - 1))
        if age:
            checks = (*checks, verified(made.calibration, age, notice.average_psi))
    return made, made.calibration.predicted(ages[max(ages)]), checks


def early_words(early: EarlyFact, zone: str) -> str:
    local = early.released_at.astimezone(ZoneInfo(zone))
    return (
        f"Released before the curing days by {early.engineer}, {day_words(local, year=True)}: {early.reason}"
    )


def _curing(facts: CureFacts, poured_on: date, required_days: float, today: date) -> CuringLog | None:
    """The log through yesterday: a day counts once it is over.

    Its clock ends when the tower was set on the pad, and when the days that were asked are reached: nobody
    waits for more.
    """
    last = (
        today - timedelta(days=1)
        if facts.passed_on is None
        else min(today, facts.passed_on) - timedelta(days=1)
    )
    through = min(max(last, poured_on), poured_on + timedelta(days=MOST_DAYS))
    case = CuringCase(
        poured_on=poured_on,
        through=through,
        zone=facts.zone,
        concrete=(),
        taken_out=facts.log.temperatures.taken_out,
        required_days=required_days,
        longest_gap_h=facts.terms.figures.longest_gap_h if facts.terms else UNSAID["longest_gap_h"],
    )
    try:
        log = _counted(case, facts)
        if log.reached_on is not None and log.reached_on < through:
            log = _counted(replace(case, through=log.reached_on), facts)
        return log
    except InputError:
        return None


def _counted(case: CuringCase, facts: CureFacts) -> CuringLog:
    told = facts.log.temperatures
    log = count_days(case, told.concrete, told.air)
    return least_of(log, count_days(case, told.written, told.air), case) if told.written else log


def _governing(notices: Sequence[NoticeFact], today: date) -> NoticeFact | None:
    """Of the field-cured tests of the newest day the lowest, in whatever order they were recorded.

    A later one takes the place of an earlier, be it lower or higher.
    """
    written = [n for n in notices if n.cure == "field" and n.written_on <= today]
    newest = max((n.written_on for n in written), default=None)
    return min((n for n in written if n.written_on == newest), key=lambda n: n.average_psi, default=None)


def _beside(field: NoticeFact | None, notices: Sequence[NoticeFact], today: date) -> NoticeFact | None:
    """The newest lab-cured test of the same age: it says what the field-cured ones lost in their curing.

    Of one day the highest, in whatever order they were recorded: it asks the most of the field-cured ones.
    """
    alike = [
        n
        for n in notices
        if field and n.cure == "lab" and n.age_days == field.age_days and n.written_on <= today
    ]
    return max(alike, key=lambda n: (n.written_on, n.average_psi), default=None)


def _strength(terms: PourTerms | None, notice: NoticeFact | None, lab: NoticeFact | None) -> Strength | None:
    fc = None if terms is None else terms.figures.fc_psi
    if terms is None or fc is None or notice is None:
        return None
    erection = terms.figures.erection_psi
    try:
        cylinders = (*notice.as_cylinders(), *(lab.as_cylinders() if lab else ()))
        return strength(StrengthCase(fc, erection, cylinders))
    except InputError:
        return None


def _strength_missing(
    terms: PourTerms | None,
    notice: NoticeFact | None,
    tested: Strength | None,
    notices: Sequence[NoticeFact],
) -> list[str]:
    if terms is None or terms.required_psi is None:
        return ["pour not released, the required strength is not known"]
    if notice is None:
        lab = " (lab-cured cylinders do not count)" if any(n.cure == "lab" for n in notices) else ""
        return [f"strength notice not written{lab}"]
    if tested is None or tested.field_psi is None:
        return ["strength notice cannot be read"]
    check = tested.checks[0]
    if check.passes:
        return []
    if check.ratio is None:
        return [f"strength notice of {day_words(notice.written_on, year=True)} is not a whole test"]
    return [
        f"strength notice of {day_words(notice.written_on, year=True)} shows {tested.field_psi:,.0f} psi, "
        f"{tested.required_psi:,.0f} psi required"
    ]


def _forecast(facts: CureFacts, log: CuringLog | None, required_days: float, today: date) -> Forecast | None:
    poured_on = facts.log.poured_on
    if facts.terms is None or log is None or poured_on is None or log.reached_on is not None:
        return None
    expected = facts.terms.expected(poured_on)
    if expected is None:
        return None
    through = max(today - timedelta(days=1), poured_on)
    try:
        return forecast_curing(ForecastCase(expected, through, log.total, required_days))
    except InputError:
        return None


def _kept_warm(facts: CureFacts) -> Check | None:
    """The coldest reading of the days of protection against what the section must be kept at."""
    terms, poured_on = facts.terms, facts.log.poured_on
    days = terms.figures.protection_days if terms else None
    if terms is None or poured_on is None or not days or terms.least_dimension_in is None:
        return None
    zone, last = ZoneInfo(facts.zone), poured_on + timedelta(days=round(days))
    end = midnight(last + timedelta(days=1), zone)
    begin = facts.log.poured_at
    if begin is None:
        return None
    return kept_warm(
        [trace.until(end) for trace in ever_read(facts)],
        terms.least_dimension_in,
        days,
        facts.zone,
        begin=begin,
        longest_gap_h=terms.figures.longest_gap_h,
    )


def curve_share(
    terms: PourTerms, notice: NoticeFact | None, poured_on: date, ages: Mapping[date, float]
) -> float:
    """By how much the mix's curve is lowered where field-cured cylinders broke under it; never raised."""
    if notice is None or terms.f28_psi is None or not ages:
        return 1.0
    tested_on = poured_on + timedelta(days=round(notice.age_days) - 1)
    age = ages.get(tested_on)
    if not age:
        return 1.0
    a, b = terms.curve
    by_curve = forecast_strength(
        CurveCase(fc28_psi=terms.f28_psi, age_days=min(age, 1000.0), a_days=a, b=b)
    ).psi
    return min(notice.average_psi / by_curve, 1.0) if by_curve > 0 else 1.0


def _strength_expected(
    facts: CureFacts, notice: NoticeFact | None, ages: Mapping[date, float], today: date
) -> date | None:
    """When the curve of the mix reaches the required strength, by expected temperatures. A forecast."""
    terms, poured_on = facts.terms, facts.log.poured_on
    if terms is None or poured_on is None or terms.required_psi is None or terms.f28_psi is None:
        return None
    share = curve_share(terms, notice, poured_on, ages)
    expected = terms.expected(poured_on)
    wanted = age_for(terms.required_psi, terms.f28_psi * share, *terms.curve) if share > 0 else None
    if expected is None or wanted is None:
        return None
    if not ages:
        return age_reached_on(expected, terms.mix, poured_on, 0.0, wanted)
    reached = next((day for day, age in ages.items() if age >= wanted), None)
    if reached is not None:
        return reached
    counted = min(max(ages), today)
    return age_reached_on(expected, terms.mix, counted, ages[max(ages)], wanted)


def _expected(
    log: CuringLog | None,
    forecast: Forecast | None,
    strength_on: date | None,
    *,
    strong: bool,
    early: bool,
    today: date,
) -> date | None:
    if log is None:
        return None
    days_on = today if early or log.reached_on is not None else (forecast.opens_on if forecast else None)
    strong_on = today if strong else strength_on
    if days_on is None or strong_on is None or (days_on <= today and strong_on <= today):
        return None  # nothing that time brings: what is missing is work or paper
    return max(days_on, strong_on)
