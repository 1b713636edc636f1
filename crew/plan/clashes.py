"""What does not fit in the crew days, in words. Pure: plain facts in, sentences out."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sitecalc.wording import day_words


@dataclass(frozen=True)
class DayFact:
    """One standing crew day. ``gate_*`` are of the gate in front of its phase on it (open if it has none)."""

    pk: int
    job: str
    phase: str
    phase_title: str
    on: date
    weather: bool
    people: tuple[int, ...]
    skills: tuple[str, ...]
    started: bool
    gate_open: bool
    gate_expected: date | None
    gate_waits_outside: bool
    crew: str
    gate_unfit: tuple[str, ...] = ()  # what the gate misses on this day and might not on another
    gate_says: str = ""  # the gate's sentence of this day; "" where the phase has none or was begun
    order: str = ""  # why it cannot be worked on this day by what comes before it; "" where it can
    closed: str = ""  # why the site is closed on it
    crane: int | None = None

    @property
    def not_allowed(self) -> str:
        """Why it cannot be put in force; the gate's own sentence where that is what forbids it."""
        if self.order:
            return self.order
        if self.started or self.gate_open:
            return ""
        waits = self.gate_expected is None and self.gate_waits_outside
        early = self.gate_expected is not None and self.on < self.gate_expected
        return self.gate_says if waits or early else ""


@dataclass(frozen=True)
class PersonFact:
    pk: int
    name: str
    away: tuple[tuple[date, date, str], ...]
    certificates: tuple[tuple[str, date | None], ...]  # kind, expiry (None: not known)
    lacking: tuple[tuple[str, str], ...] = ()  # kind, what it lacks to count
    left: bool = False  # works with us no more

    def away_on(self, on: date) -> tuple[date, date, str] | None:
        return next((each for each in self.away if each[0] <= on <= each[1]), None)

    def holds(self, skill: str, on: date) -> bool:
        """A certificate of the kind, valid on the day; an unknown expiry is not valid."""
        return any(
            kind == skill and expires is not None and expires >= on for kind, expires in self.certificates
        )


@dataclass(frozen=True)
class Clash:
    """Of one crew day, or of several on one date (a person twice)."""

    days: tuple[int, ...]
    jobs: tuple[str, ...]
    on: date
    sentence: str


def clashes(days: Iterable[DayFact], people: dict[int, PersonFact]) -> list[Clash]:
    """Every clash, by date: person twice, person away, skill or certificate missing, gate not yet open."""
    all_days = list(days)
    return by_date([*together(all_days, people), *alone(all_days, people)])


def by_date(found: Iterable[Clash]) -> list[Clash]:
    return sorted(found, key=lambda c: (c.on, c.jobs, c.sentence))


def by_job(found: Iterable[Clash]) -> dict[str, tuple[Clash, ...]]:
    """By the number of each job that they are of, in the order in which they are given."""
    of: dict[str, list[Clash]] = defaultdict(list)
    for clash in found:
        for number in clash.jobs:
            of[number].append(clash)
    return {number: tuple(clashes) for number, clashes in of.items()}


def alone(days: Iterable[DayFact], people: dict[int, PersonFact]) -> tuple[Clash, ...]:
    """What is wrong with each day whatever the other days are."""
    return tuple(clash for day in days for clash in _of_one(day, people))


def together(days: Iterable[DayFact], people: dict[int, PersonFact]) -> Iterable[Clash]:
    """People on two jobs on one date, together where they share them; a weather day counts as taken."""
    held: dict[tuple[int, date], list[DayFact]] = defaultdict(list)
    for day in sorted(days, key=lambda d: (d.on, d.job)):
        for pk in day.people:
            held[pk, day.on].append(day)
    shared: dict[tuple[date, tuple[str, ...], tuple[int, ...]], list[str]] = defaultdict(list)
    for (pk, on), both in held.items():
        jobs = tuple(sorted({d.job for d in both}))
        if len(jobs) > 1:
            name = people[pk].name if pk in people else "somebody"
            shared[on, jobs, tuple(sorted(d.pk for d in both))].append(name)
    for (on, jobs, pks), names in shared.items():
        verb = "is" if len(names) == 1 else "are"
        yield Clash(pks, jobs, on, f"{listed(sorted(names))} {verb} on {listed(list(jobs))} the same day")


def _of_one(day: DayFact, people: dict[int, PersonFact]) -> Iterable[Clash]:
    def clash(sentence: str) -> Clash:
        return Clash((day.pk,), (day.job,), day.on, sentence)

    crew = [people[pk] for pk in day.people if pk in people]
    if not crew:
        yield clash("nobody is named for this day")
    for person in crew:
        if person.left:
            yield clash(f"{person.name} works with us no more")
        for first, last, why in person.away:
            if first <= day.on <= last:
                yield clash(
                    f"{person.name} is away{f' ({why})' if why else ''} {short(first)} to {short(last)}"
                )
    if day.closed:
        yield clash(f"the site is closed: {day.closed}")
    if day.order:
        yield clash(day.order)
    for skill in day.skills:
        yield from (clash(s) for s in _skill(day, skill, crew))
    if not day.started:
        yield from (clash(words) for words in day.gate_unfit)
    if not day.started and not day.gate_open and not day.order:
        if day.gate_expected is None and day.gate_waits_outside:
            yield clash(f"gate of {day.phase_title.lower()} is closed and has no expected date")
        elif day.gate_expected is not None and day.on < day.gate_expected:
            yield clash(
                f"before the gate of {day.phase_title.lower()} is expected open, {short(day.gate_expected)}"
            )


def _skill(day: DayFact, skill: str, crew: list[PersonFact]) -> Iterable[str]:
    """Somebody of the day must hold a certificate valid on the day; an unknown expiry is not valid."""
    holders = [(p, expires) for p in crew for kind, expires in p.certificates if kind == skill]
    if any(person.holds(skill, day.on) and not person.left for person in crew):
        return
    lacking = [(p, lacks) for p in crew for kind, lacks in p.lacking if kind == skill]
    for person, lacks in lacking:
        yield f"{person.name}'s certificate as {skill} has {lacks}"
    if not holders and not lacking:
        yield f"no {skill} with a certificate is named"
    for person, expires in holders:
        if expires is None:
            yield f"{person.name}'s certificate as {skill} has no expiry on record"
        else:
            yield f"{person.name}'s certificate as {skill} expires {short(expires)}"


def listed(words: list[str]) -> str:
    """ "A", "A and B", "A, B and C" """
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def short(day: date) -> str:
    return day_words(day, weekday=True)
