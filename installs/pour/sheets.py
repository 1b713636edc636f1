"""Sheets of the pour: pour card, cure log, strength notice. Each prints what is on record; what is still to
be written goes on the sheets behind them (by_hand.py)."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.safestring import mark_safe

from installs.jobs.models import DesignRevision, Job
from installs.pour.chart import cure_chart
from installs.pour.drawing import section_svg
from installs.pour.facts import NoticeFact
from installs.pour.models import CYLINDERS
from installs.pour.pour_day import PourDay, pour_day
from installs.pour.record_words import PourRecord, load_record
from installs.pour.special_inspection import inspected
from sitecalc.wording import clock_words, unit_words


def pour_card_sheet(job: Job, revision: DesignRevision | None) -> list[dict[str, Any]]:
    """The card of the day, front and back on one sheet; before the pour also the order and the ready list."""
    record = load_record(job, timezone.now())
    day = pour_day(job, record)
    card = {
        "title": "Pour card",
        "sheet": "P-1",
        "said": _cited(record, revision),
        "drawings": {
            "section": _markup(
                unit_words(section_svg(record.section, for_print=True, room_px=260, plain=True))
            )
        }
        if record.section
        else {},
        "checks": [],
        "order": record.order_words,
        "limits": record.limits_words,
        "rules": record.rules_words,
        "tickets": _ticket_rows(record),
        "blanks": [],
        "write_behind": not record.all_came,
        "full": record.is_full,
        "cylinders": [
            {
                "where": s.where or "the pour",
                "lab": s.lab,
                "field": s.field,
                "count": s.count,
                "marks": s.marks,
                "by": s.by,
                "at": job.local(s.at),
            }
            for s in record.cylinder_sets
        ],
        "template": [
            {
                "when": t.when,
                "leg": t.leg,
                "value": t.value,
                "struck": t.struck,
                "ok": not t.told,
                "told": t.told,
                "received": t.received,
            }
            for t in record.template
        ],
        "thawed": record.facts.log.thawed_f,
        "air_f": record.facts.log.air_f,
        "low_f": record.facts.log.forecast_low_f,
        "day_checks": [
            {
                "title": c.title,
                "verdict": str(c.verdict),
                "note": unit_words(c.note),
                "source": unit_words(c.source_note),
            }
            for c in record.placing
        ],
        "stopped": _stopped(record),
        "faults": [*record.facts.log.disputed, *record.facts.log.faults],
    }
    return [card, _order_sheet(record, revision, day)] if day.lines else [card]


def _order_sheet(record: PourRecord, revision: DesignRevision | None, day: PourDay) -> dict[str, Any]:
    return {
        "title": "Order to the plant, ready list",
        "sheet": "P-1.1",
        "said": _cited(record, revision),
        "drawings": {},
        "checks": [],
        "order_only": True,
        "plant": [unit_words(line) for line in day.order],
        "plant_rules": day.order_rules,
        "ready": [{"title": x.title, "state": x.state, "words": unit_words(x.words)} for x in day.lines],
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
            {"name": e.text, "sha256": e.said["file"], "sensors": ", ".join(e.said.get("sensors", ()))}
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
        "specified_psi": record.terms.figures.fc_psi if record.terms else None,
        "erection_psi": record.terms.figures.erection_psi if record.terms else None,
        "passes": check is not None and check.passes,
        "notice": _notice(cure.notice) if cure.notice else None,
        "early_release": cure.state.early_release or "",
    }


def _cited(record: PourRecord, revision: DesignRevision | None) -> str:
    pour = f"pour {record.terms.letter}" if record.terms and record.terms.letter else "pour not released"
    return f"Foundation {revision.letter}, {pour}" if revision else pour.capitalize()


def special_inspection_sheet(job: Job, revision: DesignRevision | None) -> dict[str, Any]:
    """What the owner's special inspector watches, what is on record of it, and the engineer's statement."""
    record = load_record(job, timezone.now())
    terms, log = record.terms, record.facts.log
    return {
        "title": "Special inspection of the foundation",
        "sheet": "P-4",
        "said": "Statement, to be signed",
        "drawings": {},
        "checks": [],
        "cited": _cited(record, revision),
        "inspector": terms.figures.special_inspector if terms else "",
        "engineer": job.engineer.named if job.engineer else "",
        "owner": job.owner,
        "specified_psi": terms.figures.fc_psi if terms else None,
        "items": inspected(job, record),
        "poured_on": log.poured_on,
        "visits": [
            {
                "on": v.inspected_on, "who": v.inspector, "firm": v.firm, "passed": v.passed, "note": v.note,
                "lacks": v.lacks,
            }
            for v in job.inspections.filter(
                kind__in=("special", "footing", "concrete acceptance")
            ).select_related("engineer")
        ],
    }  # fmt: skip


def deviations_sheet(job: Job, revision: DesignRevision | None) -> dict[str, Any]:
    """Every deviation with its answers; blanks for the engineer's answer where one is open."""
    found = job.deviations.select_related("opened_by").prefetch_related(
        "answers__engineer", "answers__answered_by"
    )
    rows = [_deviation(job, d) for d in found.order_by("number")]
    if not rows:
        raise ValidationError("No deviation is on record.")
    still = sum(row["open"] for row in rows)
    return {
        "title": "Deviations",
        "sheet": "D-1",
        "said": f"{still} of {len(rows)} open" if still else "All answered",
        "drawings": {},
        "checks": [],
        "rows": rows,
    }


def _deviation(job: Job, deviation: Any) -> dict[str, Any]:
    return {
        "number": deviation.number, "title": deviation.title, "what": deviation.what,
        "open": deviation.is_open, "opened_at": job.local(deviation.opened_at),
        "by": deviation.opened_by.full_name,
        "engineer_decides": deviation.engineer_decides,
        "answers": [
            {
                "decision": a.decision, "reason": a.reason, "at": job.local(a.answered_at),
                "who": (a.engineer or a.answered_by).named,
            }
            for a in deviation.answers.all()
        ],
    }  # fmt: skip


def _stopped(record: PourRecord) -> str:
    entry = record.facts.log.stopped
    return (
        f"{entry.number:g} yd³ placed. {entry.text}" if entry is not None and entry.number is not None else ""
    )


def _ticket_rows(record: PourRecord) -> list[dict[str, Any]]:
    """With the clock of the batching, and the yards still to come after each truck."""
    trucks = {t.number: t for t in record.facts.log.trucks}
    left = record.order.order_yd3 if record.order else None
    rows = []
    for ticket in record.tickets:
        truck = trucks[ticket.number]
        if left is not None and truck.discharged:
            # after a truck of which nobody wrote the yards it is not known how many are still to come
            left = None if ticket.yards is None else left - ticket.yards
        batched = truck.batched_at
        rows.append(
            {
                **_ticket_row(ticket),
                "batched": clock_words(record.job.local(batched)) if batched else "",
                "left": f"{max(left, 0.0):.1f}" if left is not None else "",
            }
        )
    return rows


def _ticket_row(ticket: Any) -> dict[str, Any]:
    terms = {line.title: line for line in ticket.lines}
    cells = [
        {
            "value": terms[name].value.removesuffix(" after batching") if name in terms else "",
            "over": name in terms and terms[name].verdict == "fails",
            "struck": terms[name].struck if name in terms else "",
            "why": terms[name].why if name in terms else "",
        }
        for name in ("Discharged", "Slump", "Air", "Concrete", "Water added")
    ]
    return {
        "number": ticket.number, "ticket": ticket.ticket, "yards": ticket.yards, "cells": cells,
        "state": ticket.state.removesuffix(ticket.time).strip(" ,"), "why": ticket.why,
        "failed": list(ticket.failed), "rejected": ticket.rejected, "decision": ticket.decision,
    }  # fmt: skip


def _notice(notice: NoticeFact) -> dict[str, Any]:
    return {
        "written_on": notice.written_on, "cure": f"{notice.cure}-cured", "age_days": notice.age_days,
        "size": CYLINDERS[notice.diameter_in], "breaks": _breaks(notice),
        "by_load": any(load is not None for load in notice.loads_lb),
        "average_psi": f"{notice.average_psi:,.0f}", "signer": notice.signer, "firm": notice.firm,
    }  # fmt: skip


def _breaks(notice: NoticeFact) -> list[str]:
    """ "F1: 33,800 lb, 4 by 8 in, 2,690 psi": a break as it was given, and the strength that it is."""
    loads = notice.loads_lb or (None,) * len(notice.cylinders)
    given = ["" if load is None else f"{load:,.0f} lb, {CYLINDERS[notice.diameter_in]}, " for load in loads]
    return [f"{mark}: {by}{psi:,.0f} psi" for (mark, psi), by in zip(notice.cylinders, given, strict=True)]


def _degrees(temp_f: float | None) -> str:
    return "" if temp_f is None else f"{temp_f:.0f}"


def _markup(svg: str) -> str:
    """Drawn by us from numbers and escaped words."""
    return mark_safe(svg)
