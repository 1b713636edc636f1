"""The concrete accepted for the turbine and full bolt tension: lab-cured tests, and the grout by itself."""

from __future__ import annotations

from datetime import date

from installs.pour.facts import CureFacts, NoticeFact
from installs.pour.field_log import GROUT
from sitecalc.checks import Check
from sitecalc.inputs import InputError
from sitecalc.pour.strength import LEAST_CYLINDERS, AcceptanceCase, acceptance


def acceptance_of(facts: CureFacts, today: date) -> tuple[bool, tuple[str, ...], tuple[Check, ...]]:
    """Whether ACI 318-19 26.12.3.1 is met, what is missing in parts of a sentence, and the checks.

    Field-cured cylinders never count here, as lab-cured ones never count for the tower.
    """
    terms = facts.terms
    fc = terms.figures.fc_psi if terms else None
    if terms is None or fc is None:
        return False, ("the specified strength is not known",), ()
    days = terms.figures.acceptance_days
    tests = [
        n.average_psi
        for n in facts.notices
        if n.cure == "lab" and n.age_days >= days - 0.5 and n.written_on <= today and _whole(n)
    ]
    if not tests:
        return False, (f"no lab-cured test at {days:g} days",), ()
    try:
        checks = acceptance(AcceptanceCase(fc, tuple(tests))).checks
    except InputError:
        return False, ("lab-cured tests cannot be read",), ()
    missing = tuple(f"{c.title.lower()}: {c.note}" for c in checks if c.needs_answer)
    return not missing and any(c.passes for c in checks), missing, checks


def _whole(notice: NoticeFact) -> bool:
    return len(notice.cylinders) >= LEAST_CYLINDERS.get(notice.diameter_in, 3)


def grout_missing(facts: CureFacts) -> str:
    """What the grout still lacks, in a part of a sentence; empty where nothing is grouted."""
    needed = facts.terms.figures.grout_psi if facts.terms else None
    if needed is None:
        return ""
    newest = {
        row.entry.subject.strip().lower(): row.entry.reading
        for row in facts.log.told.get(GROUT, ())
        if not row.entry.said.get("cannot")
    }
    if not newest:
        return f"grout strength not recorded, {needed:,.0f} psi required"
    unread = sorted(name for name, value in newest.items() if value is None)
    if unread:
        return f"grout strength of {', '.join(unread)} not read, {needed:,.0f} psi required"
    lowest = min(value for value in newest.values() if value is not None)
    return "" if lowest >= needed else f"grout {lowest:,.0f} of {needed:,.0f} psi required"
