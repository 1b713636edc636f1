"""The look-ahead: each job's next step, what it waits for and for how long, the gate, what expires."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import cached_property

from crew.morning.expiry import Expiry, due_words, expiries, yearly_due
from crew.morning.office import JobMorning, Morning
from crew.plan.clashes import short
from installs.gates.rules import day_of, gate, unfinished_before
from installs.gates.states import Standing
from installs.inspection.models import InspectionKind
from installs.jobs.kept import Kept
from installs.jobs.models import Deviation
from installs.jobs.phases import BY_KEY, PHASES, gate_of
from installs.permits.models import Permit
from installs.record.services import broken
from sitecalc.wording import clock_words, day_words


@dataclass(frozen=True)
class Line:
    """One job's line. ``calls`` need a person today and are underlined in crayon."""

    morning: JobMorning
    step: str
    when: str
    who: str
    waits: str
    calls: tuple[str, ...]
    days: int | None
    gate: str
    signed: str
    expires: tuple[str, ...]
    deviations: tuple[str, ...]
    phones: tuple[str, ...]
    finished: bool = False

    @cached_property
    def order(self) -> tuple[bool, bool, date, str]:
        """Those that need a person today first, then by the date of the next step; finished jobs last."""
        day = self.morning.next_day
        return self.finished, not self.calls, day.on if day else date.max, self.morning.job.number


LINES = Kept(most=5000)


def lines(morning: Morning) -> list[Line]:
    """A line a job, in order. A line is worked out again where its job, a clash or a phone says otherwise."""
    jobs = {m.job.pk: m for m in morning.jobs}
    wanted = {pk: said_of(m) for pk, m in jobs.items()}
    found = LINES.each(wanted, lambda keys: {pk: line(jobs[pk], morning) for pk in keys})
    return sorted(found.values(), key=lambda each: each.order)


def said_of(m: JobMorning) -> tuple[Hashable, ...]:
    """All that a line of the job says."""
    cure = m.facts.cure
    tonight = (cure.endangered, cure.tonight.sentence) if cure and cure.tonight else ()
    phones = tuple((d.pk, d.heard_at, d.waiting, d.oldest_waiting_at) for d in m.devices)
    return m.stands, m.clashes, tonight, phones


def line(m: JobMorning, morning: Morning) -> Line:
    step, when, who = next_step(m)
    waits, days = waiting(m)
    ending = expiries(m, morning)
    state = m.gate
    found = Line(
        morning=m,
        step=step,
        when=when,
        who=who,
        waits=waits,
        calls=tuple(calls(m, ending)),
        days=days,
        gate=f"{state.title}{state.for_day}: {state.sentence[0].lower()}{state.sentence[1:]}"
        if state
        else "Every gate is passed.",
        signed=signature(m),
        expires=tuple(expiring(m, ending)),
        deviations=tuple(deviation_words(m)),
        phones=tuple(phone_words(m)),
    )
    return replace(found, finished=finished(found))


def finished(found: Line) -> bool:
    """The turbine runs and nothing is open: only the yearly inspection is still to come."""
    m = found.morning
    runs = "commissioning" in m.facts.finished and "operation" in m.facts.started
    open_points = found.calls or found.deviations or found.days is not None
    return runs and m.gate is None and not m.ahead and not open_points


def next_step(m: JobMorning) -> tuple[str, str, str]:
    """What comes next, when and who: from the crew days, else the next phase without a date."""
    day = m.next_day
    if day:
        when = "today" if day.on == m.today else short(day.on)
        later = [d.on for d in m.standing if d.phase == day.phase and d.on > day.on and d.kind == day.kind]
        if later:
            when += f" to {short(max(later))}"
        return BY_KEY[day.phase].starts, when, day.crew.name + ("" if day.plan_id else ", tentative")
    phase = next((p for p in PHASES if m.states[p.key] != Standing.DONE), None)
    if phase is None:
        return "Yearly inspection", "", ""
    running = m.states[phase.key] == Standing.UNDER_WAY
    due = yearly_due(m)
    if phase.key == "maintenance" and due:
        return phase.starts, due_words(due, m.today), ""
    return phase.starts, "under way" if running else "no date yet", ""


def waiting(m: JobMorning) -> tuple[str, int | None]:
    """What holds the gate of the next step, on the day of that step; of a thing that was asked of somebody
    with whom, and for how many days."""
    missing = holding(m)
    if not missing:
        return "Nothing.", None
    first, *more = missing
    others = f"; and {len(more)} more" if more else ""
    permit = _asked_for(first, m.permits)
    if permit is None or permit.asked_on is None:
        return f"{first[0].upper()}{first[1:]}{others}.", None
    what = permit.get_kind_display().capitalize()
    words = f"{what} from {permit.asked_of}, requested {short(permit.asked_on)}"
    if permit.asked_again_on:
        words += f", again {short(permit.asked_again_on)}"
    if permit.promised_on:
        words += f", promised {short(permit.promised_on)}"
    return f"{words}{others}.", (m.today - permit.asked_on).days


def holding(m: JobMorning) -> tuple[str, ...]:
    """What the gate of the next step misses; of a step without a gate what is not finished before it."""
    day = m.next_day
    if day is None or day.phase in m.facts.started:
        return m.gate.missing if m.gate else ()
    key = gate_of(day.phase)
    if key is None:
        return tuple(f"{title.lower()} not finished" for title in unfinished_before(day.phase, m.facts))
    return gate(key, m.facts, day.on, today=m.today).missing


# how a gate begins to say that it misses a permit (installs/gates/rules.py)
SAID_AS = {
    "building": "building permit ",
    "conditional use": "conditional use permit ",
    "airspace": "answer to the airspace notice ",
    "electrical": "electrical permit ",
    "locate": "locate ticket ",
    "utility test": "utility's written permission to test ",
    "utility operation": "utility's letter ",
}


def _asked_for(missing: str, permits: list[Permit]) -> Permit | None:
    """The permit that is missed, where it was asked for and no answer is there."""
    for permit in permits:
        open_ = permit.asked_on and not permit.granted_on and not permit.refused_on
        if open_ and permit.kind in SAID_AS and missing.startswith(SAID_AS[permit.kind]):
            return permit
    return None


def calls(m: JobMorning, ending: list[Expiry]) -> list[str]:
    """What a person must do today: a pad in danger, a broken record, late promises, refusals, what the
    utility owes or must be told, what must be renewed by now, days that nobody told of, conflicts."""
    cure = m.facts.cure
    said = [cure.tonight.sentence] if cure and cure.tonight and cure.endangered else []
    said += [broken(m.job)] if broken(m.job) else []
    for permit in m.permits:
        words = permit.get_kind_display()
        if permit.refused_on and not any(p.kind == permit.kind and p.granted_on for p in m.permits):
            said.append(f"Answer the refused {words} today.")
        elif (
            permit.promised_on
            and permit.promised_on <= m.today
            and not permit.granted_on
            and not permit.refused_on
        ):
            said.append(f"Ask {permit.asked_of} for the {words} today.")
    said += m.utility.calls if m.utility else []
    said += [each.call for each in ending if each.calls(m.today)]
    said += visits_to_repeat(m)
    said += unsaid_words(m)
    soon = m.today + timedelta(days=3)
    said += [
        f"{c.sentence[0].upper()}{c.sentence[1:]}: settle {short(c.on)} today."
        for c in m.clashes
        if c.on <= soon
    ][:1]
    return said


def unsaid_words(m: JobMorning) -> list[str]:
    """Days behind of which nobody has said what became of them, in one call."""
    days = m.unsaid
    if not days:
        return []
    first, *more = days
    title = BY_KEY[first.phase].title
    others = f" and {len(more)} more" if more else ""
    return [f"{title} of {short(first.on)}{others}: worked, moved or canceled?"]


def visits_to_repeat(m: JobMorning) -> list[str]:
    """Inspections that did not pass: what is to be put right before the inspector comes again."""
    said = []
    for kind, visit in m.facts.inspections.items():
        if visit.passed and not visit.corrections:
            continue
        count = f"{visit.corrections} correction{'s' * (visit.corrections > 1)}"
        what = (
            f"answer {count}, then ask for the next visit" if visit.corrections else "ask for the next visit"
        )
        title = InspectionKind(kind).label
        state = "passed, and left some open" if visit.passed else "did not pass"
        said.append(f"{title[:1].upper()}{title[1:]} of {short(visit.on)} {state}: {what}.")
    return said


def signature(m: JobMorning) -> str:
    """Initials and date on the newest gate passed; blank while the next one is closed."""
    started = [s for key, s in m.phases.items() if key in BY_KEY and BY_KEY[key].gate]
    if not started or (m.gate is not None and not m.gate.open):
        return ""
    newest = max(started, key=lambda s: s.started_at)
    day = m.job.local(newest.started_at)
    return f"{newest.started_by.initials} {day_words(day)}"


def expiring(m: JobMorning, ending: list[Expiry]) -> list[str]:
    """What ends before the day it is needed, and what else stands against a lift plan on its day."""
    said = [each.words for each in ending]
    for which, lift in m.facts.lifts.items():
        if which in m.facts.started:
            continue
        day = day_of(which, m.facts, m.today)
        told = lift.days.get(day, ())
        said += [f"{BY_KEY[which].title}: {w}" for w in lift.missing_on(day) if w not in told]
    return list(dict.fromkeys(said))


def deviation_words(m: JobMorning) -> list[str]:
    def words(d: Deviation) -> str:
        since = (m.today - m.job.local(d.opened_at).date()).days
        return f"D-{d.number} open {since} d: {d.title}" + (f", {d.ordered}" if d.ordered else "")

    return [words(d) for d in m.deviations]


def phone_words(m: JobMorning) -> list[str]:
    """Phones of the job's crews by when last heard and what waited then. Silence is not "all sent"."""
    near = timedelta(days=14)
    crews = {p.pk for d in m.standing if abs(d.on - m.today) <= near for p in d.people.all()}
    said = []
    for device in m.devices:
        if device.person_id not in crews:
            continue
        name = device.person.full_name.split()[-1]
        heard = clock(m.job.local(device.heard_at), m.today)
        if device.waiting:
            oldest = device.oldest_waiting_at
            since = f", oldest {clock(m.job.local(oldest), m.today)}" if oldest else ""
            said.append(f"{name}: {device.waiting} not sent{since}; last contact {heard}")
        else:
            said.append(f"{name}: all sent, last contact {heard}")
    return said


def clock(at: datetime, today: date) -> str:
    """ "5:52 AM", with the date where it is not today's."""
    hour = clock_words(at)
    return hour if at.date() == today else f"{at:%a} {hour}"
