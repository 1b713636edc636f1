"""The forms of one truck on the phone, its ticket and its figures, and what they ask again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import Any

from django import forms

from installs.checklists.asking import AskingForm, Likely
from installs.checklists.library import likely
from installs.jobs.models import Job
from installs.measures import QuantityInput, WithinRange
from installs.pour.field_log import CLOCKS_APART, DISCHARGED, RULE_OF, TruckTicket
from installs.pour.record_words import PourRecord
from installs.pour.review import judged_truck, table_of
from installs.pour.truck_asks import discharged_anyway, minutes_off, ticket_twice
from sitecalc.pour.placing import Limit

NOW = "now"  # the button: discharged at this minute


@dataclass(frozen=True)
class Figure:
    """One figure of a ticket: code of its item, what it is called, its unit."""

    code: str
    title: str
    unit: str

    @property
    def likely(self) -> Likely | None:
        return likely(self.code)


FIGURES = (
    Figure("D05", "Concrete temperature", "F"),
    Figure("D03", "Slump", "in"),
    Figure("D04", "Air", "%"),
    Figure("D07", "Water added", "gal"),
    Figure(DISCHARGED, "Minutes from batching to discharge", "min"),
)
BY_CODE = {figure.code: figure for figure in FIGURES}


@dataclass(frozen=True)
class OnSite:
    """The truck that a form is about, in its pour, at the time of the press."""

    record: PourRecord
    number: int
    ticket: TruckTicket | None
    now: datetime

    def limit(self, code: str) -> Limit | None:
        """What a figure is held to; None where no limits are in force."""
        rule = RULE_OF.get(code)
        table = table_of(self.ticket, self.record.terms, self.record.air_f)
        return next((row for row in table if row.rule is rule), None)


class TicketForm(AskingForm):
    ticket = forms.CharField(max_length=30, label="Ticket number")
    yards = QuantityInput(label="Yards", validators=[WithinRange(0.25, 15, "yd3")])
    batched = forms.TimeField(label="Batched at (24 h)", required=False)
    water = QuantityInput(
        label="Water that may be added, gal", required=False, validators=[WithinRange(0, 200, "gal")]
    )

    def __init__(self, *args: Any, truck: OnSite, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.truck = truck

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("ticket"):
            words = ticket_twice(self.truck.record.facts.log, self.truck.number, cleaned["ticket"])
            self.ask("ticket", words)
        return cleaned

    def entry(self) -> dict[str, Any]:
        given, job = self.cleaned_data, self.truck.record.job
        data: dict[str, Any] = {"ticket": given["ticket"], **self.kept}
        if given["batched"]:
            data["batched_at"] = batched_at(job, given["batched"], self.truck.now).isoformat()
        if given["water"] is not None:
            data["water_allowed_gal"] = given["water"]
        return {
            "code": "D01", "number": given["yards"], "unit": "yd3", "text": given["ticket"], "data": data,
        }  # fmt: skip


def batched_at(job: Job, at: time, now: datetime) -> datetime:
    """The newest such time of the site's clock that is not ahead of ours by more than two clocks are apart:
    a truck batched before midnight."""
    local = datetime.combine(job.local(now).date(), at, job.tz)
    return local if local <= now + CLOCKS_APART else local - timedelta(days=1)


class FigureForm(AskingForm):
    number = QuantityInput(required=False)
    cannot = forms.CharField(max_length=300, required=False)

    def __init__(self, *args: Any, figure: Figure, truck: OnSite, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.figure, self.truck = figure, truck

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if self._now(cleaned) or cleaned.get("cannot") or "number" in self.errors:
            pass
        elif cleaned.get("number") is None:
            self.add_error("number", "Enter the reading, or say why it cannot be taken.")
        else:
            self._ask(cleaned["number"])
        if self.figure.code == DISCHARGED and not self.errors:
            self.ask("number", self._anyway())
        return cleaned

    def _now(self, cleaned: dict[str, Any]) -> bool:
        """Discharged at this minute: the minutes are worked out from the ticket."""
        ticket = self.truck.ticket
        if self.data.get("do") != NOW or ticket is None or ticket.batched_at is None or not ticket.on_site:
            return False
        cleaned["number"] = ticket.minutes(self.truck.now)
        return True

    def _ask(self, number: float) -> None:
        self.ask_reading("number", number, self.figure.likely)
        if self.figure.code == DISCHARGED:
            self.ask("number", minutes_off(self.truck.ticket, number, self.truck.now))

    def _anyway(self) -> str:
        """Asked while the truck stands there: by its age now, whatever minutes are typed."""
        at, ticket = self.truck, self.truck.ticket
        if ticket is None or not ticket.on_site:
            return ""
        return discharged_anyway(judged_truck(ticket, at.record.terms, at.record.air_f, at.now))

    def entry(self) -> dict[str, Any]:
        given = self.cleaned_data
        if given["cannot"] and given["number"] is None:
            return {"code": self.figure.code, "text": given["cannot"], "data": {"cannot": True, **self.kept}}
        data = dict(self.kept)
        if self.data.get("do") == NOW:
            data["discharged_at"] = self.truck.now.isoformat()
        return {"code": self.figure.code, "number": given["number"], "unit": self.figure.unit, "data": data}
