"""The permits in the job book: a flag on the day each was asked, dots to the day it is promised or came."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from installs.drafting import marks
from installs.drafting.labels import Labels
from installs.drafting.letters import text_width
from installs.drafting.shapes import Lettering, Pen, Shape, Stroke
from installs.drafting.svg import svg_document
from installs.jobs.models import Job
from installs.permits.models import Permit, PermitKind
from installs.permits.standing import standing_permits
from sitecalc.wording import day_words

WIDE, NARROW, ROW, RIGHT = 500.0, 300.0, 26.0, 120.0  # the words of the answer stand on the right
SHORT: dict[str, str] = {
    PermitKind.UTILITY_TEST: "permission to test",
    PermitKind.UTILITY_OPERATION: "letter to operate",
}
MONTH = Pen("thin", "waiting", "pencil")


def strip(job: Job, phase: str, at: datetime, narrow: bool = False) -> str:
    """What was asked, in the order in which it was asked; "" before anything is; ``narrow`` for a phone."""
    today = job.local(at).date()
    asked = [p for p in standing_permits([job])[job.pk] if p.asked_on]
    return strip_svg(sorted(asked, key=lambda p: (p.asked_on, p.pk)), today, narrow) if asked else ""


def strip_svg(asked: list[Permit], today: date, narrow: bool = False) -> str:
    """Permits in rows under one another, days to scale from the first asked to the last that is known; on a
    phone the answer stands under the dots."""
    wide, row_px, beside = (NARROW, 2 * ROW - 8, 12.0) if narrow else (WIDE, ROW, RIGHT)
    first = min(p.asked_on for p in asked if p.asked_on)
    last = max(*(_end(p, today) for p in asked), first + timedelta(days=14))
    scale = (wide - beside - 12) / (last - first).days
    foot = row_px * len(asked) + 4
    shapes: list[Shape] = []
    named = Labels(most=wide)
    for month in _months(first, last):
        x = (month - first).days * scale
        shapes.append(Stroke(((x, 2), (x, foot)), MONTH))
        if named.place(x + 4, f"{month:%B}", 12) == x + 4:
            shapes.append(Lettering((x + 4, foot + 12), f"{month:%B}", 12, ink="pencil"))
    for row, permit in enumerate(asked):
        x = ((permit.asked_on or first) - first).days * scale
        end = max((_end(permit, today) - first).days * scale, x + 12)
        grade = row_px * row + ROW
        shapes += marks.paper(x, grade, permit.granted_on is not None, end)
        name, answer = SHORT.get(permit.kind, permit.get_kind_display()), _answer(permit)
        if narrow:
            at = max(0.0, min(x + 13, wide - 5 - text_width(name, 12)))
            shapes.append(Lettering((at, grade - 8), name, 12, blank=True))
            at = max(0.0, min(end, wide - 5) - text_width(answer, 12))
            shapes.append(Lettering((at, grade + 13), answer, 12, blank=True))
            continue
        # the name stands over its dots if the answer beside the end leaves it the room
        words = f"{name}, {answer}" if text_width(name, 12) > end - x - 16 else answer
        if words is answer:
            shapes.append(Lettering((x + 13, grade - 8), name, 12, blank=True))
        # and both stand before the flag where the sheet ends behind it
        beyond = end + 6 + text_width(words, 12) > WIDE
        at, anchor = (x - 6, "end") if beyond else (end + 6, "start")
        shapes.append(Lettering((at, grade - 1), words, 12, anchor=anchor, blank=True))
    return svg_document(
        (("permits", shape) for shape in shapes),
        title=f"{len(asked)} permits asked since {day_words(first, long=True)}",
        box=(0, 0, wide, foot + 18),
    )


def _end(permit: Permit, today: date) -> date:
    """The day it came back, else the day it is promised, else today."""
    return permit.granted_on or permit.refused_on or permit.promised_on or today


def _answer(permit: Permit) -> str:
    came = permit.granted_on or permit.refused_on
    if came:
        return f"{'in hand' if permit.granted_on else 'refused'} {day_words(came)}"
    promised = permit.promised_on
    return f"promised {day_words(promised)}" if promised else "no day promised"


def _months(first: date, last: date) -> list[date]:
    """Firsts of the months between two days."""
    found = []
    at = (first.replace(day=1) + timedelta(days=32)).replace(day=1)
    while at <= last:
        found.append(at)
        at = (at + timedelta(days=32)).replace(day=1)
    return found
