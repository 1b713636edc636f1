"""Sheets of the pour: pour card, cure log, strength notice. Each prints what is on record, with blanks for
what is not, so that a card printed before the pour can be filled in by hand and keyed in later."""

from __future__ import annotations

from typing import Any

from django.utils import timezone
from django.utils.safestring import mark_safe

from installs.jobs.models import DesignRevision, Job
from installs.pour.chart import cure_chart
from installs.pour.drawing import section_svg
from installs.pour.record import PourRecord, load_record

BLANK_TRUCKS = 6


def pour_card_sheet(job: Job, revision: DesignRevision | None) -> dict[str, Any]:
    """The card of the day: order, limits, section by truck, tickets, blanks for trucks to come."""
    record = load_record(job, timezone.now())
    loads = record.order.loads_yd3 if record.order else ()
    blanks = max(len(loads) - len(record.tickets), 0) if record.tickets else max(len(loads), BLANK_TRUCKS)
    first = max((t.number for t in record.tickets), default=0) + 1
    return {
        "title": "Pour card",
        "sheet": "P-1",
        "said": _cited(record, revision),
        "drawings": {"section": _markup(section_svg(record.section, for_print=True, room_px=260))}
        if record.section
        else {},
        "checks": [],
        "order": record.order_words,
        "limits": record.limits_words,
        "tickets": [_ticket_row(t) for t in record.tickets],
        "blanks": list(range(first, first + blanks)),
        "cylinders": [
            {"count": e.number, "by": e.person.full_name, "at": job.local(e.taken_at), "words": e.text}
            for e in record.facts.log.cylinders
        ],
        "faults": list(record.facts.log.faults),
    }


def cure_log_sheet(job: Job, revision: DesignRevision | None) -> dict[str, Any]:
    """Temperatures, each day's worth, strength, and what is missing on the day it is printed."""
    record = load_record(job, timezone.now())
    log, state = record.cure.log, record.cure.state
    return {
        "title": "Cure log",
        "sheet": "P-2",
        "said": f"{state.days_in_words} of {state.days_required:g} curing days",
        "drawings": {"chart": _markup(cure_chart(record.chart, width_in=7.5, for_print=True))}
        if record.chart
        else {},
        "checks": list(record.cure.checks),
        "poured_on": state.poured_on,
        "missing": list(state.missing),
        "expected": state.expected,
        "early_release": state.early_release or "",
        "lost": record.lost_words,
        "days": [
            {
                "day": day.day, "worth": f"{day.worth:.2f}", "sum": f"{total:.2f}",
                "mean": _degrees(day.mean_f), "low": _degrees(day.low_f), "high": _degrees(day.high_f),
                "words": day.words,
            }
            for day, total in record.running_days
        ],
        "faults": [*record.facts.log.faults, *(log.faults if log else ())],
        "notices": [_notice(n) for n in record.facts.notices],
        "files": [
            {"name": e.text, "sha256": e.data["file"], "sensors": ", ".join(e.data.get("sensors", []))}
            for e in record.facts.log.files
        ],
    }  # fmt: skip


def strength_notice_sheet(job: Job, revision: DesignRevision | None) -> dict[str, Any]:
    """The written notice to whoever sets the tower: filled from the record if it passes, else blank."""
    record = load_record(job, timezone.now())
    cure = record.cure
    check = cure.strength.checks[0] if cure.strength else None
    return {
        "title": "Strength notice",
        "sheet": "P-3",
        "said": "Strength reached" if check is not None and check.passes else "Not reached on record",
        "drawings": {},
        "checks": list(cure.strength.checks) if cure.strength else [],
        "poured_on": cure.state.poured_on,
        "required_psi": cure.state.required_psi,
        "specified_psi": record.figures.inputs.get("fc_psi") if record.figures else None,
        "erection_psi": record.figures.inputs.get("erection_psi") if record.figures else None,
        "passes": check is not None and check.passes,
        "notice": _notice(cure.notice) if cure.notice else None,
        "early_release": cure.state.early_release or "",
    }


def _cited(record: PourRecord, revision: DesignRevision | None) -> str:
    pour = (
        f"pour {record.figures.letter}" if record.figures and record.figures.letter else "pour not released"
    )
    return f"Foundation {revision.letter}, {pour}" if revision else pour.capitalize()


def _ticket_row(ticket: Any) -> dict[str, Any]:
    figures = {line.title: line for line in ticket.lines}
    cells = [
        {
            "value": figures[name].value if name in figures else "",
            "struck": figures[name].struck if name in figures else "",
            "why": figures[name].why if name in figures else "",
        }
        for name in ("Discharged", "Slump", "Air", "Concrete", "Water added")
    ]
    return {
        "number": ticket.number, "ticket": ticket.ticket, "yards": ticket.yards, "cells": cells,
        "state": ticket.state, "why": ticket.why, "failed": list(ticket.failed),
    }  # fmt: skip


def _notice(notice: Any) -> dict[str, Any]:
    return {
        "written_on": notice.written_on, "cure": f"{notice.cure}-cured", "age_days": notice.age_days,
        "size": "4 by 8 in" if notice.diameter_in == 4 else "6 by 12 in",
        "cylinders": ", ".join(f"{mark} {psi:,.0f}" for mark, psi in notice.cylinders),
        "average_psi": f"{notice.average_psi:,.0f}", "signer": notice.signer, "firm": notice.firm,
    }  # fmt: skip


def _degrees(temp_f: float | None) -> str:
    return "" if temp_f is None else f"{temp_f:.0f}"


def _markup(svg: str) -> str:
    """Drawn by us from numbers and escaped words."""
    return mark_safe(svg)
