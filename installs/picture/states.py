"""How far each part of the job is, in a word and a sentence, by the facts that the gates are judged by."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from installs.gates.job_facts import JobFacts
from installs.gates.rules import gate_ahead
from installs.gates.states import Standing, phase_states
from installs.jobs.getters import stands_under
from installs.jobs.models import Deviation
from installs.jobs.phases import BY_KEY, PHASES
from installs.picture.scene import State
from sitecalc.wording import day_words


@dataclass(frozen=True, kw_only=True)
class Rule:
    """A thing in the picture: whose release draws it, and the phases that build it.

    ``built_by``: the phase with which it stands; what comes after it in ``phases`` is only its next step.
    ``inspected``: the kind of visit that sees it.
    """

    title: str
    drawn_by: tuple[str, ...]
    phases: tuple[str, ...]
    built_by: str = ""
    inspected: str = ""


RULES: dict[str, Rule] = {
    "turbine": Rule(
        title="Turbine",
        drawn_by=("turbine",),
        phases=("turbine lift", "commissioning"),
        built_by="turbine lift",
    ),
    "tower": Rule(
        title="Tower", drawn_by=("tower",), phases=("tower assembly", "tower lift"), built_by="tower lift"
    ),
    "pad": Rule(
        title="Pad",
        drawn_by=("foundation", "pour"),
        phases=("excavation", "pour", "cure"),
        built_by="cure",
        inspected="footing",
    ),
    # nobody records that it is built: it has served once a crane has stood on it
    "crane pad": Rule(title="Crane pad", drawn_by=("site",), phases=("tower lift", "turbine lift")),
    "trench": Rule(
        title="Trench",
        drawn_by=("site", "ground_station"),
        phases=("ground station",),
        built_by="ground station",
        inspected="rough-in",
    ),
    "station": Rule(
        title="Ground station",
        drawn_by=("ground_station",),
        phases=("ground station", "commissioning"),
        built_by="ground station",
        inspected="electrical",
    ),
    "line": Rule(
        title="Utility line", drawn_by=("site",), phases=("commissioning",), built_by="commissioning"
    ),
}
# the thing of which a deviation under a phase is said
OF_PHASE = {
    "excavation": "pad",
    "pour": "pad",
    "cure": "pad",
    "tower assembly": "tower",
    "tower lift": "tower",
    "turbine lift": "turbine",
    "ground station": "station",
    "commissioning": "turbine",
}


@dataclass(frozen=True, kw_only=True)
class PartState:
    """``words`` say how far it is with its letter or date, ``call`` what somebody must answer before it goes
    on, ``next`` the next step with its date or that it has none; empty where nothing is to come.
    ``deviation`` is the number of the one that stands open, else 0."""

    key: str
    title: str
    state: State
    words: str
    call: str = ""
    next: str = ""
    begun: bool = False  # and not built
    deviation: int = 0
    maturity: float | None = None

    @property
    def said(self) -> str:
        return ", ".join(filter(None, (self.call, self.words)))


def part_states(
    facts: JobFacts, known: Mapping[str, str], deviations: Iterable[Deviation], today: date
) -> dict[str, PartState]:
    """By the keys of RULES. ``known`` says of a design part its letter in force, "" for a draft."""
    held: dict[str, list[int]] = {}
    for deviation in deviations:
        held.setdefault(OF_PHASE.get(stands_under(deviation), ""), []).append(deviation.number)
    standing = phase_states(facts)
    return {
        key: _part(key, rule, facts, known, held.get(key, []), standing, today) for key, rule in RULES.items()
    }


def _part(
    key: str,
    rule: Rule,
    facts: JobFacts,
    known: Mapping[str, str],
    held: list[int],
    standing: Mapping[str, Standing],
    today: date,
) -> PartState:
    state, words = _state(rule, facts, known, standing, today)
    void = next((facts.void[part] for part in rule.drawn_by if part in facts.void), "")
    visit = facts.inspections.get(rule.inspected)
    call, begun = "", state is State.UNDER_WAY
    if state is not State.NOTHING and void:
        state, call = State.VOID, f"void: {_first(void)}"
    elif held:
        state, call = State.HELD, f"held by {', '.join(f'D-{number}' for number in held)}"
    elif visit is not None and not visit.passed:
        state, call = State.HELD, f"held: inspection {day_words(visit.on, beside=(today,))} did not pass"
    return PartState(
        key=key,
        title=rule.title,
        state=state,
        words=words,
        call=call,
        begun=begun,
        next=_next(rule, facts, standing, today),
        deviation=held[0] if held else 0,
        maturity=_maturity(facts) if key == "pad" else None,
    )


def _first(sentence: str) -> str:
    """The first half of "foundation A stands on tower A with ...; tower B with ... is in force"."""
    return sentence.partition(";")[0]


def _state(
    rule: Rule, facts: JobFacts, known: Mapping[str, str], standing: Mapping[str, Standing], today: date
) -> tuple[State, str]:
    visit = facts.inspections.get(rule.inspected)
    seen = f", inspected {day_words(visit.on, beside=(today,))}" if visit and visit.passed else ""
    begun = [key for key in rule.phases if standing[key] != Standing.TO_COME]
    if rule.built_by and standing[rule.built_by] == Standing.DONE:
        on = facts.ended_on.get(rule.built_by)
        return State.BUILT, f"{_DONE[rule.built_by]}{_on(on, today)}{seen}"
    if begun and rule.built_by:
        newest = begun[-1]
        return State.UNDER_WAY, f"{_doing(newest, facts, standing, today)}{seen}"
    if begun:  # the crane has come
        return State.BUILT, f"used for the {begun[0]}{_on(facts.begun_on.get(begun[0]), today)}"
    part = next((part for part in rule.drawn_by if part in known), "")
    if not part:
        return State.NOTHING, State.NOTHING.value
    letter = known[part]
    return (State.RELEASED, f"released {letter}") if letter else (State.DRAFTED, "drafted, not released")


_DONE = {
    "cure": "cured",
    "tower lift": "stands",
    "turbine lift": "up",
    "ground station": "built",
    "commissioning": "connected",
}


_DOING = {
    "excavation": ("digging and tying steel", "dug, steel tied"),
    "pour": ("pour under way", "poured"),
    "cure": ("curing", "cured"),
    "tower assembly": ("being bolted on the ground", "bolted on the ground"),
    "tower lift": ("being lifted", "stands"),
    "turbine lift": ("being lifted", "up"),
    "ground station": ("being wired", "wired"),
    "commissioning": ("being commissioned", "in operation"),
}


def _doing(phase: str, facts: JobFacts, standing: Mapping[str, Standing], today: date) -> str:
    during, after = _DOING[phase]
    cure = facts.cure
    if phase == "cure" and cure is not None:
        of = f" of {cure.days_required:g}" if cure.days_required is not None else ""
        poured = f"poured{_on(cure.poured_on, today)}, " if cure.poured_on else ""
        return f"{poured}{cure.curing_days:.1f}{of} curing days"
    if standing[phase] == Standing.DONE:
        return f"{after}{_on(facts.ended_on.get(phase), today)}"
    since = facts.begun_on.get(phase)
    return f"{during} since {day_words(since, beside=(today,))}" if since else during


def _on(day: date | None, today: date) -> str:
    return f" {day_words(day, beside=(today,))}" if day else ""


def _maturity(facts: JobFacts) -> float | None:
    """Share of the curing days that the gate asks for: 1 where it is cured; None before it is poured."""
    cure = facts.cure
    if cure is None or not cure.poured:
        return None
    if cure.ready or not cure.days_required:
        return 1.0 if cure.ready else 0.0
    return min(1.0, cure.curing_days / cure.days_required)


def _next(rule: Rule, facts: JobFacts, standing: Mapping[str, Standing], today: date) -> str:
    phase = next((key for key in rule.phases if standing[key] != Standing.DONE), None)
    return _step(phase, facts, standing, today) if phase else ""


def _step(phase: str, facts: JobFacts, standing: Mapping[str, Standing], today: date) -> str:
    """ "Lift the tower, Fri Dec 18": the next crew day, else the day before which its gate cannot open."""
    words = BY_KEY[phase].starts
    planned = crew_day(phase, facts, today)
    if planned:
        return f"{words}, {_named(planned, today)}"
    expected = expected_day(phase, facts, today)
    if expected:
        return f"{words}, {'to' if phase == 'cure' else 'not before'} {_named(expected, today)}"
    return f"{words}, {'under way' if standing[phase] == Standing.UNDER_WAY else 'no date yet'}"


def _named(day: date, today: date) -> str:
    return "today" if day == today else day_words(day, weekday=True, beside=(today,))


def crew_day(phase: str, facts: JobFacts, today: date) -> date | None:
    days = facts.crew_days.get(phase)
    return days.next(today) if days else None


def expected_day(phase: str, facts: JobFacts, today: date) -> date | None:
    """When the pad is cured by forecast, or the gate of what has not begun is expected to open."""
    if phase == "cure":
        return facts.cure.expected if facts.cure and facts.cure.poured else None
    gate = BY_KEY[phase].gate
    return gate_ahead(gate, facts, today).expected if gate and phase not in facts.started else None


@dataclass(frozen=True)
class NextStep:
    words: str
    on: date | None


def next_step(facts: JobFacts, today: date) -> NextStep:
    """Of the whole job: the earliest crew day of what is not finished, else the first phase not done."""
    standing = phase_states(facts)
    ahead = [phase.key for phase in PHASES if standing[phase.key] != Standing.DONE]
    planned = [(day, key) for key in ahead if (day := crew_day(key, facts, today)) is not None]
    if planned:
        day, key = min(planned, key=lambda each: each[0])
        return NextStep(_step(key, facts, standing, today), day)
    if not ahead:
        return NextStep("", None)
    return NextStep(_step(ahead[0], facts, standing, today), expected_day(ahead[0], facts, today))
