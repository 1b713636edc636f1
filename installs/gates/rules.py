"""The gates: pure functions from the facts of a job and a day to open or closed, with the reason.

Closed by default. A gate is a list of needs; it is open when every need is met. What is missing,
unknown or unreadable is not met. Nothing here looks at a clock or a database.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from installs.gates.job_facts import JobFacts
from installs.jobs.phases import BY_KEY, PHASES, SITE, gate_of, title_of
from sitecalc.wording import day_words

# forecast of a tower lift while the pour is only planned: the default curing days
CURE_FROM_PLANNED_POUR = timedelta(days=28)


@dataclass(frozen=True)
class Need:
    """One thing that must be true. ``says`` is the sentence part when met, ``missing`` when not.

    ``ours`` is what we can do any day (release, sign, record): it closes the gate like any other, but
    does not move its forecast. ``unfit``: another day might do, this one does not.
    """

    met: bool
    says: str
    missing: str
    expected: date | None = None
    ours: bool = False
    unfit: bool = False


@dataclass(frozen=True)
class GateState:
    """Of one gate on ``day``."""

    key: str
    title: str
    open: bool
    sentence: str
    missing: tuple[str, ...]
    expected: date | None
    waits_outside: bool = False  # on something that is not ours to do and has no date
    unfit: tuple[str, ...] = ()  # of the missing, what another day might not miss
    day: date | None = None
    ahead: bool = False  # the day is still to come
    today: date | None = None

    @property
    def for_day(self) -> str:
        """ ", Tue Dec 8": which day it was judged for, where that is not today's."""
        if not self.ahead or self.day is None:
            return ""
        beside = (self.today,) if self.today else ()
        return f", {day_words(self.day, weekday=True, beside=beside)}"


def gate(key: str, facts: JobFacts, day: date, *, today: date | None = None) -> GateState:
    """State of one gate on a day at the site, by what is known ``today``, on the day itself unless given.

    An unknown key is a closed gate.
    """
    rule = RULES.get(key)
    needs = list(rule(facts, day)) if rule else [Need(False, "", "there is no such gate")]
    needs += [Need(False, "", words, ours=True) for words in facts.held.get(key, ())]
    needs += [Need(False, "", words, ours=True) for words in stops_of(PHASE_OF.get(key, key), facts)]
    return _state(key, needs or [Need(False, "", "nothing is known")], day, today or day)


PHASE_OF = {phase.gate: phase.key for phase in PHASES if phase.gate}


def stops_of(phase: str, facts: JobFacts) -> tuple[str, ...]:
    """Why work of this phase, or an energizing step, stands still: it or the whole site was stopped."""
    return (*facts.stopped.get(SITE, ()), *facts.stopped.get(phase, ()))


def day_of(key: str, facts: JobFacts, today: date) -> date:
    """The day that a gate is about: the next crew day of its phase, of a lift else the plan's own next day.

    Of a gate that was passed the day on which it was; of one that nobody has planned today.
    """
    if key in facts.started:
        return facts.begun_on.get(key, today)
    days, lift = facts.crew_days.get(PHASE_OF.get(key, key)), facts.lifts.get(key)
    return (days and days.next(today)) or (lift and lift.next_day(today)) or today


def gate_ahead(key: str, facts: JobFacts, today: date) -> GateState:
    """State of a gate on the day that it is about: what every page and phone says of it."""
    return gate(key, facts, day_of(key, facts, today), today=today)


def _state(key: str, needs: list[Need], day: date, today: date) -> GateState:
    missing = [n for n in needs if not n.met]
    title = title_of(key) if rule_known(key) else key
    if not missing:
        said = [n.says for n in needs if n.says]
        sentence = f"Open. {_sentence(said)}"
        return GateState(key, title, True, sentence, (), None, day=day, ahead=day > today, today=today)
    # a date in the past is no forecast: whoever promised it is late
    dates = [
        n.expected if n.expected and n.expected >= today else None
        for n in missing
        if not n.ours or n.expected
    ]
    known = [d for d in dates if d is not None]
    expected = max(known) if known and len(known) == len(dates) else None
    outside = len(known) < len(dates)
    when = " No date yet." if outside else ""
    if expected:
        when = f" Expected {day_words(expected, weekday=True, beside=(today,))}."
    words = tuple(n.missing for n in missing)
    return GateState(
        key,
        title,
        False,
        f"Closed: {', '.join(words)}.{when}",
        words,
        expected,
        outside,
        tuple(n.missing for n in missing if n.unfit),
        day,
        day > today,
        today,
    )


def unfinished_before(key: str, facts: JobFacts) -> tuple[str, ...]:
    """Titles of the phases before an ungated phase that are not finished; a gate asks this itself."""
    if key not in BY_KEY or BY_KEY[key].gate:
        return ()
    before = (BY_KEY[k] for k in BY_KEY[key].after)
    return tuple(p.title for p in before if not p.by_facts and p.key not in facts.finished)


def unfinished(key: str, facts: JobFacts) -> str:
    """What a phase's own facts say is still open, beside its lists; empty when nothing is."""
    if stops := stops_of(key, facts):
        return stops[0]
    if key == "tower assembly" and not (facts.tower and facts.tower.complete):
        return facts.tower.sentence if facts.tower else "the torque log is not known"
    return ""


def may_start(key: str, facts: JobFacts, day: date) -> bool:
    """Whether a phase or an energizing step has permission to start."""
    gate_key = gate_of(key)
    return not (unfinished_before(key, facts) or stops_of(key, facts)) and (
        gate_key is None or gate(gate_key, facts, day).open
    )


def rule_known(key: str) -> bool:
    return key in RULES


def _sentence(parts: list[str]) -> str:
    text = ", ".join(parts)
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def _permit(facts: JobFacts, kind: str, words: str, day: date) -> Need:
    rows = [p for p in facts.permits if p.kind == kind]
    held = next((p for p in rows if p.good_on(day)), None)
    if held:
        until = (
            f" good to {day_words(held.expires_on, weekday=True, beside=(day,))}"
            if kind == "locate" and held.expires_on
            else ""
        )
        number = f" {held.number}" if held.number else ""
        return Need(True, f"{held.words}{number}{until or ' in hand'}", "")
    if not rows:
        return Need(False, "", f"{words} not requested", ours=kind == "locate")
    newest = rows[-1]
    if newest.refused:
        return Need(False, "", f"{words} refused")
    state = "not in hand" if newest.asked else "not requested"
    if newest.unproved:
        return Need(False, "", f"{words} in hand by word only, without its number or paper", ours=True)
    if newest.expires_on and (kind == "locate" or newest.in_hand):
        state = f"not in date (to {day_words(newest.expires_on, beside=(day,))})"
    # a ticket is renewed shortly before the dig; of a permit that runs out one is told once a day is set
    unfit = newest.in_hand and kind != "locate"
    return Need(False, "", f"{words} {state}", newest.promised_on, ours=kind == "locate", unfit=unfit)


def _foundation(facts: JobFacts) -> Need:
    return _released(facts, "foundation", facts.foundation_letter, facts.foundation_unanswered)


def _station(facts: JobFacts) -> Need:
    return _released(facts, "ground_station", facts.station_letter, facts.station_unanswered)


def _released(facts: JobFacts, part: str, letter: str, unanswered: tuple[str, ...]) -> Need:
    name = part.replace("_", " ")
    if not letter:
        return Need(False, "", f"{name} not released", ours=True)
    if unanswered:
        return Need(
            False, "", f"{name} {letter} has checks nobody accepted: {', '.join(unanswered)}", ours=True
        )
    if part in facts.void:
        return _void(facts, part)
    return Need(True, f"{name} release {letter}", "")


def _void(facts: JobFacts, part: str) -> Need:
    """What is built from a release that no longer stands is built wrong."""
    return Need(part not in facts.void, "", facts.void.get(part, ""), ours=True)


def _inspection(facts: JobFacts, kind: str, words: str, since: date | None, day: date) -> Need:
    """Passed, on or after the day of the work that it saw, with its card, and nothing left to put right."""
    visit = facts.inspections.get(kind)
    if visit is None:
        return Need(False, "", f"{words} not recorded", ours=True)
    if not visit.passed:
        lacks = "did not pass"
    elif not visit.proved:
        lacks = "has neither card nor its number"
    elif since and visit.on < since:
        seen, began = day_words(visit.on, beside=(since, day)), day_words(since, beside=(visit.on, day))
        lacks = f"of {seen} is older than the work, of {began}"
    elif visit.corrections:
        lacks = f"left {visit.corrections} correction{'s' * (visit.corrections > 1)} not corrected"
    else:
        return Need(True, f"{words} passed", "")
    return Need(False, "", f"{words} {lacks}", ours=True)


def _electrical_permit(facts: JobFacts, day: date) -> Iterable[Need]:
    if facts.authority_asks_electrical_permit:
        yield _permit(facts, "electrical", "electrical permit", day)


def _before(facts: JobFacts, key: str) -> Iterable[Need]:
    """The phases before it are finished and their hold points recorded."""
    for before in BY_KEY[key].after:
        phase = BY_KEY[before]
        if not phase.by_facts:
            done = before in facts.finished
            yield Need(done, "", f"{phase.title.lower()} not finished", facts.planned.get(before), ours=True)
        if phase.checklists and before not in facts.lists_copied and not phase.by_facts:
            yield Need(False, "", f"no checklist of {phase.title.lower()}", ours=True)
        held = facts.holds_missing.get(before, ())
        # an unfinished phase says enough: it cannot be finished without its hold points
        if held and (phase.by_facts or before in facts.finished):
            codes = ", ".join(words.split()[0] for words in held)
            yield Need(False, "", f"hold point{'s' if len(held) > 1 else ''} {codes} not recorded", ours=True)


def excavation(facts: JobFacts, day: date) -> Iterable[Need]:
    yield _permit(facts, "building", "building permit", day)
    for kind, words in (
        ("conditional use", "conditional use permit"),
        ("airspace", "answer to the airspace notice"),
    ):
        if any(p.kind == kind for p in facts.permits):
            yield _permit(facts, kind, words, day)
    yield _foundation(facts)
    yield _permit(facts, "locate", "locate ticket", day)


def pour(facts: JobFacts, day: date) -> Iterable[Need]:
    yield _foundation(facts)
    yield _void(facts, "pour")
    if facts.authority_inspects_footing:
        yield _inspection(facts, "footing", "footing inspection", facts.begun_on.get("excavation"), day)
    yield from _before(facts, "pour")


def ground_station(facts: JobFacts, day: date) -> Iterable[Need]:
    yield _station(facts)
    yield from _electrical_permit(facts, day)
    if facts.station_digs:
        yield _permit(facts, "locate", "locate ticket", day)


def tower_lift(facts: JobFacts, day: date) -> Iterable[Need]:
    if facts.cure is None or not facts.cure.poured:
        planned = facts.planned.get("pour")
        expected = planned + CURE_FROM_PLANNED_POUR if planned else None
        yield Need(False, "", "no pour recorded", expected, ours=True)
    else:
        words = facts.cure.missing or ("cure not judged",)
        yield Need(
            facts.cure.ready, "cure complete, strength notice written", ", ".join(words), facts.cure.expected
        )
    torque = facts.tower
    yield Need(
        torque is not None and torque.complete,
        "tower joints torqued",
        torque.sentence if torque else "tower joints not torqued",
        ours=True,
    )
    for part in ("foundation", "tower"):
        yield _void(facts, part)
    yield from _lift(facts, "tower lift", day)
    yield from _before(facts, "tower lift")


def turbine_lift(facts: JobFacts, day: date) -> Iterable[Need]:
    yield Need(
        facts.concrete_accepted,
        "concrete accepted",
        _acceptance_words(facts),
        ours=True,
    )
    grout = facts.cure.grout_missing if facts.cure else ""
    yield Need(not grout, "", grout, ours=True)
    for part in ("foundation", "tower", "turbine"):
        yield _void(facts, part)
    yield from _lift(facts, "turbine lift", day)
    yield from _before(facts, "turbine lift")


def _acceptance_words(facts: JobFacts) -> str:
    words = "28-day acceptance of the concrete not in, nor an engineer's written one"
    why = list(facts.cure.acceptance_missing if facts.cure else ())
    why += [facts.acceptance_why] if facts.acceptance_why else []
    return f"{words} ({'; '.join(why)})" if why else words


def _lift(facts: JobFacts, which: str, day: date) -> Iterable[Need]:
    lift = facts.lifts.get(which)
    if lift is None or not lift.letter:
        yield Need(False, "", "lift plan not released", ours=True)
        return
    yield Need(
        lift.signed, f"lift plan {lift.letter} signed", f"lift plan {lift.letter} not signed", ours=True
    )
    unfit = lift.unfit_for(day)
    for missing in lift.missing_on(day):
        yield Need(False, "", missing, ours=True, unfit=missing == unfit)
    for words in facts.beyond.get(which, ()):
        yield Need(False, "", words, ours=True)


def rotor_up(facts: JobFacts, day: date) -> Iterable[Need]:
    yield Need(
        "turbine lift" in facts.finished,
        "turbine up",
        "turbine not up",
        facts.planned.get("turbine lift"),
        ours=True,
    )
    yield Need(
        facts.rotor_locked, "brake on and rotor locked", "brake and rotor lock not recorded", ours=True
    )


def backfeed(facts: JobFacts, day: date) -> Iterable[Need]:
    yield Need("rotor up" in facts.started, "", "rotor up step not done", ours=True)
    yield from _before(facts, "commissioning")
    yield _station(facts)
    yield from _electrical_permit(facts, day)
    station = facts.begun_on.get("ground station"), facts.ended_on.get("ground station")
    if facts.authority_asks_electrical_permit:
        yield _inspection(facts, "rough-in", "rough-in inspection", station[0], day)
    yield _inspection(facts, "electrical", "final electrical inspection", station[1] or station[0], day)


def parallel_for_test(facts: JobFacts, day: date) -> Iterable[Need]:
    yield Need("backfeed" in facts.started, "", "not yet energized from the utility", ours=True)
    yield _permit(facts, "utility test", "utility's written permission to test", day)


def operation(facts: JobFacts, day: date) -> Iterable[Need]:
    yield Need("parallel for test" in facts.started, "", "not tested in parallel yet", ours=True)
    yield _permit(facts, "utility operation", "utility's letter", day)
    missing = facts.tests_missing
    yield Need(not missing, "tested on record", f"test of {', '.join(missing)} not on record", ours=True)


RULES: dict[str, Callable[[JobFacts, date], Iterable[Need]]] = {
    "excavation": excavation,
    "pour": pour,
    "ground station": ground_station,
    "tower lift": tower_lift,
    "turbine lift": turbine_lift,
    "rotor up": rotor_up,
    "backfeed": backfeed,
    "parallel for test": parallel_for_test,
    "operation": operation,
}
