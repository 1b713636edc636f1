"""Ready to pour? Each thing the day waits for, with its clock. A pure function of facts and an instant."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from installs.checklists.standing import not_done
from installs.jobs.models import Job
from installs.pour.field_log import CALLED, PourLog
from installs.pour.terms import UNSAID, PourTerms
from sitecalc.checks import Verdict
from sitecalc.pour.cold import PLANNED
from sitecalc.pour.readings import said
from sitecalc.wording import day_words

BEFORE_THAW_H = 12.0  # a reading of the ground older than that says nothing of this morning


@dataclass(frozen=True)
class Line:
    """``state`` is "ready", "open" or "late"; ``code`` is the item recorded for it, if there is one."""

    title: str
    state: str
    words: str
    code: str = ""


@dataclass(frozen=True)
class DayFacts:
    """What other rooms know of the day."""

    gate_missing: tuple[str, ...]
    locate: str = ""  # ticket number and place, empty if none is in hand
    locate_until: date | None = None


Asked = Callable[[Job, datetime], DayFacts]
_asked: list[Asked] = []


def answered_by(asked: Asked) -> None:
    """Who knows the day's facts: the gates, which stand above this room and say so at start."""
    _asked[:] = [asked]


def facts_before(job: Job, at: datetime) -> DayFacts:
    """The day's facts as known at ``at``. While nobody can be asked the gate counts as closed."""
    return _asked[0](job, at) if _asked else DayFacts(("the gate of the pour cannot be asked",))


def called_for(log: PourLog, zone: ZoneInfo) -> datetime | None:
    """Day and hour for which the first truck was called, by the newest record that can be read.

    Without an offset it is by the clock at the site.
    """
    for row in reversed(log.told.get(CALLED, ())):
        at: datetime | None = row.entry.said.get("for")
        if at is not None:
            return at if at.tzinfo else at.replace(tzinfo=zone)
    return None


def readiness(
    log: PourLog, terms: PourTerms | None, day: DayFacts, zone: ZoneInfo, now: datetime
) -> tuple[Line, ...]:
    called = called_for(log, zone)
    return tuple(_lines(log, terms, day, zone, now, called))


def _lines(
    log: PourLog,
    terms: PourTerms | None,
    day: DayFacts,
    zone: ZoneInfo,
    now: datetime,
    called: datetime | None,
) -> Iterator[Line]:
    yield _called(called, zone, now)
    yield _gate(day.gate_missing)
    yield _locate(day, called, zone, now)
    for code, title, name in (
        ("D15", "Inspector told", "inspector_notice_h"),
        ("D16", "Plant has the order", "plant_notice_h"),
        ("D17", "Testing lab booked", "lab_notice_h"),
    ):
        hours = getattr(terms.figures, name) if terms else UNSAID[name]
        yield _notice(log, code, title, float(hours), called, zone, now)
    yield from _weather(log, terms, called, now)


def _called(called: datetime | None, zone: ZoneInfo, now: datetime) -> Line:
    if called is None:
        return Line(
            "Pour set for", "open", "Set the pour date and hour; notice times count back from it.", CALLED
        )
    hours = (called - now).total_seconds() / 3600
    when = said(called, zone)
    if hours < 0:
        return Line("Pour set for", "ready", f"{when}, {_hours(-hours)} ago.", CALLED)
    return Line("Pour set for", "ready", f"{when}, in {_hours(hours)}.", CALLED)


def _gate(missing: Iterable[str]) -> Line:
    words = "; ".join(missing)
    if words:
        return Line("Gate", "open", f"Closed: {words}.")
    return Line("Gate", "ready", "Open: foundation released, inspection passed, steel and forms finished.")


def _locate(day: DayFacts, called: datetime | None, zone: ZoneInfo, now: datetime) -> Line:
    title, until = "Locate ticket", day.locate_until
    if not day.locate:
        return Line(title, "open", "None in hand.")
    if until is None:
        return Line(title, "ready", f"{day.locate}, no last day given.")
    pour_on = (called or now).astimezone(zone).date()
    last = day_words(until, beside=(pour_on,))
    if until < pour_on:
        return Line(title, "late", f"{day.locate} ends {last}, before the pour: have it marked again.")
    left = (until - now.astimezone(zone).date()).days
    return Line(
        title, "ready", f"{day.locate}, good through {last}, {left} day{'s' if left != 1 else ''} left."
    )


def _notice(
    log: PourLog, code: str, title: str, hours: float, called: datetime | None, zone: ZoneInfo, now: datetime
) -> Line:
    """Told in time: at least the hours asked before the first truck."""
    rows = [r.entry for r in log.told.get(code, ()) if not not_done(r.entry)]
    asks = f"{hours:g} h notice required"
    if called is None:
        words = f"{asks}; pour date not set."
        return Line(title, "ready" if rows else "open", f"{rows[-1].text}. {words}" if rows else words, code)
    latest = called - timedelta(hours=hours)
    if rows:
        told = min(r.happened_at for r in rows)
        text = f"{rows[-1].text}, " if rows[-1].text else ""
        if told > latest:
            short = (told - latest).total_seconds() / 3600
            return Line(
                title, "late", f"{text}told {said(told, zone)}, {_hours(short)} short of {hours:g} h.", code
            )
        return Line(title, "ready", f"{text}told {said(told, zone)}.", code)
    left = (latest - now).total_seconds() / 3600
    if left < 0:
        return Line(title, "late", f"Was due {said(latest, zone)}, {asks}: call now.", code)
    return Line(title, "open", f"Call by {said(latest, zone)}, {_hours(left)} left ({asks}).", code)


def _weather(log: PourLog, terms: PourTerms | None, called: datetime | None, now: datetime) -> Iterator[Line]:
    low = coldest_expected(log)
    if low is None:
        yield Line("Weather", "open", "Air and the lowest of the next three nights are not recorded.", "D06")
        return
    cold = terms.cold(low, _read_today(log, called or now)) if terms else None
    if cold is None or not cold.cold:
        yield Line("Weather", "ready", f"Lowest {low:.0f} F: not cold, 40 F and over.", "D06")
        return
    mixed = cold.as_mixed_f
    heated = (
        f" Heated mix, {mixed[0]:g} to {mixed[1]:g} F at the plant (ACI 306R table 5.1, clause not verified)."
        if mixed
        else ""
    )
    yield Line("Weather", "ready", f"Cold: {low:.0f} F expected.{heated}", "D06")
    ready = any(not not_done(r.entry) for r in log.told.get("D18", ()))
    words = (
        "On site."
        if ready
        else "Blankets, heat, fuel and thermometers must stand there before the first truck."
    )
    yield Line("Heat and covers", "ready" if ready else "open", words, "D18")
    few = [c for c in cold.checks if c.key == PLANNED.key and c.verdict is Verdict.FAILS]
    if few:
        yield Line("Protection planned", "late", _capital(f"too short: {few[0].note}"), "D18")
    open_checks = [c for c in cold.checks if c.key in ("ground", "form", "steel") and c.needs_answer]
    frozen = any(c.verdict is Verdict.FAILS for c in open_checks)
    words = (
        "; ".join(f"{c.title.lower()} {c.note}" for c in open_checks) or "Ground, forms and steel are thawed."
    )
    yield Line("Thawed", "late" if frozen else "open" if open_checks else "ready", _capital(words), "D19")


def _read_today(log: PourLog, before: datetime) -> dict[str, float]:
    """Ground, form and steel as read within the last hours before the first truck."""
    newest = before - timedelta(hours=BEFORE_THAW_H)
    fresh = {
        r.entry.subject.strip().lower().rstrip("s")
        for r in log.told.get("D19", ())
        if r.entry.happened_at >= newest
    }
    return {name: value for name, value in log.thawed_f.items() if name in fresh}


def coldest_expected(log: PourLog) -> float | None:
    """The lower of the newest air reading and the lowest forecast with it; None if nothing is recorded."""
    traces = [t for t in log.temperatures.air.values() if len(t)]
    newest = max(traces, key=lambda t: float(t.at_s[-1]), default=None)
    known = [log.forecast_low_f, float(newest.temp_f[-1]) if newest is not None else None]
    return min((v for v in known if v is not None), default=None)


def _hours(hours: float) -> str:
    if hours >= 48:
        return f"{hours / 24:.0f} days"
    return f"{hours:.0f} h" if hours >= 1 else f"{max(hours * 60, 0):.0f} min"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:] + ("" if words.endswith(".") else ".")
