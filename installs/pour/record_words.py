"""The record of a pour as page, book and papers show it: tickets in words, the cure, drawings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import accumulate

from installs.checklists.received import received_words
from installs.jobs.models import Job
from installs.jobs.standing import footing
from installs.pour.chart_data import ChartData, chart_data
from installs.pour.cure import cure_of
from installs.pour.day_checks import CylinderSet, TemplateLine, cylinder_sets, placing, template
from installs.pour.drawing import Section, layers_of
from installs.pour.facts import Cure, CureFacts
from installs.pour.field_log import RULE_OF, Told, TruckTicket
from installs.pour.review import air_of_day, judged_truck, pour_facts
from installs.pour.terms import PourTerms
from installs.pour.truck_words import limits_words, no_order, order_words, rules_words
from sitecalc.checks import Check, Verdict
from sitecalc.foundation.take_off import Delivery
from sitecalc.pour.curing import CuringDay
from sitecalc.pour.placing import Decision, LastOrder, Truck, last_order
from sitecalc.wording import clock_words, day_words, quantity_words

FIGURES = (
    ("D02", "Discharged", "min after batching"),
    ("D03", "Slump", "in"),
    ("D04", "Air", "%"),
    ("D05", "Concrete", "F"),
    ("D07", "Water added", "gal"),
)


@dataclass(frozen=True)
class TicketLine:
    """One figure of a ticket: what stands, what was struck through and why, and whether it is in limits."""

    title: str
    value: str
    struck: str
    why: str
    by: str
    verdict: str
    limits: str = ""  # what is accepted, where that is not kept


@dataclass(frozen=True)
class Ticket:
    number: int
    ticket: str
    yards: float | None
    state: str
    time: str
    lines: tuple[TicketLine, ...]
    note: str
    failed: tuple[str, ...]
    why: str
    decision: str = ""  # of a truck on site: take it, reject it, the engineer decides, not yet
    decision_words: str = ""
    rejected: bool = False


@dataclass(frozen=True)
class PourRecord:
    job: Job
    at: datetime
    facts: CureFacts
    terms: PourTerms | None
    cure: Cure
    tickets: tuple[Ticket, ...]
    section: Section | None
    order: Delivery | None
    order_words: str
    limits_words: str
    chart: ChartData | None
    acceptance: tuple[Check, ...]
    cylinder_sets: tuple[CylinderSet, ...]
    template: tuple[TemplateLine, ...]
    placing: tuple[Check, ...]
    rules_words: str
    void: str = ""  # why nothing is ordered by the pour's release
    air_f: float | None = None  # lowest of the day of the pour
    last: LastOrder | None = None  # what is still to be ordered

    @property
    def to_come(self) -> str:
        """ "18.5 of 37.5 yd³ ordered still to come in 2 trucks; last order 9 yd³." """
        if self.void:
            return self.order_words
        if self.order is None or self.last is None:
            return ""
        ordered = f"{self.order.order_yd3:g} yd³ ordered"
        if not self.last.loads_yd3:
            return f"All {ordered} have come."
        count, end = len(self.last.loads_yd3), f"last order {self.last.last_yd3:g} yd³."
        trucks = f" in {count} trucks" if count > 1 else ""
        return f"{self.last.left_yd3:.1f} of {ordered} still to come{trucks}; {end}"

    @property
    def is_full(self) -> bool:
        return self.section is not None and self.section.placed_yd3 >= self.section.net_yd3

    @property
    def all_came(self) -> bool:
        """The pad is full and no truck is still ordered: another one is possible, and nobody waits for it."""
        return self.is_full and bool(self.tickets) and self.last is not None and not self.last.loads_yd3

    @property
    def running_days(self) -> list[tuple[CuringDay, float]]:
        """Each day with the sum up to it."""
        days = self.cure.log.days if self.cure.log else ()
        return list(zip(days, accumulate(d.worth for d in days), strict=True))

    @property
    def cylinder_words(self) -> str:
        """ "21 cylinders made in 5 sets, Apr 24" """
        sets = self.cylinder_sets
        day = self.job.local(sets[0].at) if sets else self.at
        many = f" in {len(sets)} sets" if len(sets) > 1 else ""
        return f"{sum(s.count for s in sets):g} cylinders made{many}, {day_words(day, beside=(self.at,))}"

    @property
    def age_factor(self) -> float | None:
        """Temperature-time factor of the pad, F-h."""
        return self.cure.ages[-1].factor_f_h if self.cure.ages else None

    @property
    def lost_words(self) -> str:
        """ "4.3 days lost to cold and to gaps of 14 h in the readings" """
        log = self.cure.log
        if log is None:
            return ""
        lost = len(log.days) - log.total
        why = ["cold"] if log.lost_to_cold > 0.05 else []
        if log.silent_hours >= 1:
            why.append(f"gaps of {log.silent_hours:.0f} h in the readings")
        return f"{lost:.1f} days lost to {' and to '.join(why)}." if why and lost > 0.05 else ""


def load_record(job: Job, at: datetime, draft: PourTerms | None = None) -> PourRecord:
    """Everything of one job's pour. Trucks are held to the release, or to the draft while there is none."""
    facts = pour_facts(job, at)
    terms = facts.terms or draft
    cure = cure_of(facts, at)
    air = air_of_day(facts.log, job.tz, at)
    tickets = tuple(_ticket(job, t, judged_truck(t, terms, air, at)) for t in facts.log.trucks)
    order = terms.order() if terms else None
    last = _last_order(facts, terms, order)
    void = void_of(job)
    return PourRecord(
        job=job,
        at=at,
        facts=facts,
        terms=terms,
        cure=cure,
        tickets=tickets,
        section=_section(facts, terms, cure, tickets, last),
        order=order,
        order_words=no_order(void) or order_words(terms, order),
        void=void,
        limits_words=limits_words(terms, air),
        air_f=air,
        last=last,
        chart=chart_data(cure, facts, at),
        acceptance=cure.acceptance,
        cylinder_sets=cylinder_sets(job, facts),
        template=template(job, facts),
        placing=placing(facts, terms, at),
        rules_words=rules_words(terms, air),
    )


def void_of(job: Job) -> str:
    """Why the pour's release no longer stands; empty where it does, or where there is none."""
    standing = footing(job)
    released = standing.in_force.get("pour")
    return standing.void(released) if released else ""


def _last_order(facts: CureFacts, terms: PourTerms | None, order: Delivery | None) -> LastOrder | None:
    if terms is None or order is None:
        return None
    return last_order(
        order_yd3=order.order_yd3,
        placed_yd3=facts.log.yards,
        on_site_yd3=facts.log.yards_on_site,
        truck_yd3=terms.figures.truck_yd3,
        step_yd3=terms.figures.order_step_yd3,
    )


def _section(
    facts: CureFacts,
    terms: PourTerms | None,
    cure: Cure,
    tickets: Sequence[Ticket],
    last: LastOrder | None,
) -> Section | None:
    pad = terms.pad if terms else {}
    width, thick, volume = pad.get("width_ft"), pad.get("thickness_in"), pad.get("volume_ft3")
    if not width or not thick or not volume:
        return None
    done = facts.log.poured_on is not None and facts.log.yards >= volume / 27
    notes = {t.number: t.note for t in tickets}
    layers = layers_of(facts.log.trucks, notes, () if done or last is None else last.loads_yd3)
    maturity = min(cure.state.curing_days / cure.state.days_required, 1.0)
    return Section(
        width_ft=width, thickness_ft=thick / 12, net_yd3=volume / 27, layers=layers, maturity=maturity
    )


# --- words ------------------------------------------------------------------------------------------


def _ticket(job: Job, ticket: TruckTicket, truck: Truck | None) -> Ticket:
    checks = {c.key: c for c in truck.checks} if truck else {}
    lines = [
        _line(told, title, unit, checks.get(RULE_OF[code].key))
        for code, title, unit in FIGURES
        if (told := ticket.told.get(code)) is not None
    ]
    local = job.local(ticket.first_at)
    clock = clock_words(local)
    failed = tuple(
        f"{c.title}: {c.note}" for c in (truck.checks if truck else ()) if c.verdict is Verdict.FAILS
    )
    if ticket.refused:
        state = f"rejected {clock}"
    elif ticket.discharged:
        state = f"{_standing_words(truck, failed)} {clock}"
    else:
        state = "on site"
    apart = (received_words(ticket.told[c].entry, job, year=True) for c in ticket.told)
    if late := next(filter(None, apart), ""):
        state = f"{state}, {late}"
    return Ticket(
        number=ticket.number,
        ticket=ticket.ticket,
        yards=ticket.yards,
        state=state,
        time=clock,
        lines=tuple(lines),
        note=_note(ticket, clock),
        failed=failed,
        why=ticket.why_refused,
        decision=str(truck.decision) if truck and ticket.on_site else "",
        decision_words=_decision_words(truck, ticket),
        rejected=ticket.refused,
    )


def _decision_words(truck: Truck | None, ticket: TruckTicket) -> str:
    """Of a truck on site, with the rules named."""
    if not ticket.on_site:
        return ""
    return (
        truck.words if truck else f"{Decision.ENGINEER.capitalize()}: no limits are released for this pour."
    )


def _standing_words(truck: Truck | None, failed: Sequence[str]) -> str:
    """A discharged truck is accepted when every limit was measured and kept."""
    if failed:
        return "discharged over a limit"
    open_checks = [c.title.lower() for c in truck.checks if c.needs_answer] if truck else ["limits"]
    return f"discharged, {', '.join(open_checks)} not checked," if open_checks else "accepted"


def _line(told: Told, title: str, unit: str, check: Check | None) -> TicketLine:
    entry, old = told.entry, told.corrects
    if entry.unreadable:
        value = f"cannot be read: {entry.unreadable}"
    elif entry.said.get("cannot"):
        value = "not measured"
    else:
        value = quantity_words(entry.number, unit) if entry.number is not None else entry.text
    struck = quantity_words(old.number, unit) if old is not None and old.number is not None else ""
    why = entry.text if old is not None or entry.said.get("cannot") else ""
    limits = ""
    if check is not None and "," in check.note:
        limits = check.note.split(",", 1)[1].strip()
    over = limits if check is not None and check.needs_answer else ""
    verdict = str(check.verdict) if check is not None and entry.reading is not None else ""
    return TicketLine(title, value, struck, why, entry.person.initials, verdict, over)


def _note(ticket: TruckTicket, clock: str) -> str:
    """ "9:02 AM, 9.5 yd³, slump 4.0 in, air 6.1 %, 62 F" """
    parts = [clock]
    if ticket.yards:
        parts.append(f"{ticket.yards:.1f} yd³")
    for code, words in (("D03", "slump {:.1f} in"), ("D04", "air {:.1f} %"), ("D05", "{:.0f} F")):
        figure = ticket.figure(code)
        if figure is not None:
            parts.append(words.format(figure))
    return ", ".join(parts)
