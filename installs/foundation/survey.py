"""The set bolts as they were measured: read from what was typed, judged against the template, recorded."""

from __future__ import annotations

from dataclasses import asdict
from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction

from installs.checklists.models import Entry
from installs.checklists.taking import take_entry
from installs.foundation.anchors import bolts_of
from installs.foundation.standing import Standing
from installs.jobs.getters import locked
from installs.jobs.models import Job
from installs.measures import QuantityInput, plain_words
from installs.people.models import User
from sitecalc.cases import drawn_from
from sitecalc.checks import Verdict
from sitecalc.foundation.anchor_survey import Measured, Survey, SurveyCase, survey
from sitecalc.inputs import InputError

SURVEY = "E11"
MOST_LINES = 260
_INCHES = QuantityInput(unit="in")


class SurveyForm(forms.Form):
    measured = forms.CharField(
        label="Bolt, east, north, projection",
        help_text="One bolt per line, separated by commas; 42 1/16 in is typed 42.0625. Any right-angled "
        "axes. The projection may be left out.",
        max_length=20_000,
        validators=[plain_words],
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false"}),
    )

    def clean_measured(self) -> tuple[Measured, ...]:
        lines = [line for line in self.cleaned_data["measured"].splitlines() if line.strip()]
        if len(lines) > MOST_LINES:
            raise ValidationError(f"{len(lines)} lines; at most {MOST_LINES}.")
        return tuple(_measured(number, line) for number, line in enumerate(lines, start=1))


def _measured(number: int, line: str) -> Measured:
    mark, *lengths = (part.strip() for part in line.split(","))
    if not 2 <= len(lengths) <= 3:
        raise ValidationError(f"Line {number}: a mark and two or three lengths, with commas between.")
    try:
        east, north, *above = (_INCHES.to_python(length) for length in lengths)
    except ValidationError as error:
        raise ValidationError(f"Line {number}: {' '.join(error.messages)}") from None
    if east is None or north is None:
        raise ValidationError(f"Line {number}: east and north are both needed.")
    return Measured(mark=mark.upper()[:12], x_in=east, y_in=north, projection_in=above[0] if above else None)


def judged(standing: Standing, measured: tuple[Measured, ...]) -> Survey:
    """Against the template of the design that holds. ValidationError in words for bad marks or figures."""
    if (
        standing.figures is None
        or standing.facts is None
        or (layout := bolts_of(standing.facts.legs)) is None
    ):
        raise ValidationError({"measured": "No bolts are designed yet."})
    case: SurveyCase = drawn_from(SurveyCase, standing.figures, layout=layout, measured=measured)
    try:
        return survey(case)
    except InputError as error:
        where = f"{error.field.split('[')[1].split(']')[0]}" if "[" in error.field else ""
        line = f"Line {int(where) + 1}: " if where else ""
        raise ValidationError({"measured": f"{line}{error.message}"}) from None


def in_words(found: Survey) -> str:
    """The verdict of the survey in a sentence; the place of the whole group is not part of it."""
    asked = [c for c in found.checks if c.key != "survey-place"]
    worst = max((b.off_in for b in found.bolts), default=0.0)
    failed = [c.title for c in asked if c.verdict is Verdict.FAILS]
    open_ = [c for c in asked if c.verdict is Verdict.NOT_CHECKED]
    said = f"Farthest bolt {worst:.3f} in off the template"
    if failed:
        return f"{said}; out of tolerance: {', '.join(failed)}. The engineer decides."
    if open_:
        return f"{said}; not all measured: {open_[0].title}. {open_[0].note}"
    return f"{said}; every bolt in tolerance."


@transaction.atomic
def record_survey(job: Job, standing: Standing, found: Survey, measured: tuple[Measured, ...], *, by: User,
                  at: datetime) -> Entry:  # fmt: skip
    """One entry holds the whole survey. Out of tolerance, or not of every bolt, it completes nothing."""
    job = locked(job)
    asked = [c for c in found.checks if c.key != "survey-place"]
    whole = any(c.passes for c in asked) and not any(c.needs_answer for c in asked)
    data: dict[str, Any] = {
        "measured": [asdict(one) for one in measured],
        "tolerance_in": standing.figures.template_tolerance_in if standing.figures else None,
        "release": standing.letter,
    }
    if not whole:
        data["failed"] = True
    taken = take_entry(
        job, by=by, received_at=at, taken_at=at, code=SURVEY, subject="all bolts",
        number=round(max(b.off_in for b in found.bolts), 4), unit="in", text=in_words(found), data=data,
    )  # fmt: skip
    return taken.entry
