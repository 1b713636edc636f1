"""Forms of the pour: the schedule of inputs, a truck's ticket, temperatures, a logger's file, strength."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError

from installs.checklists.asking import AGAIN, AskingForm
from installs.checklists.library import likely
from installs.files.services import bounded
from installs.jobs.design_forms import DesignForm
from installs.jobs.models import Job
from installs.jobs.rows import Column, RowsField
from installs.measures import QuantityInput, WithinRange
from installs.people.models import Role, User
from installs.pour.field_log import CLOCKS_APART, PourLog
from installs.pour.models import CYLINDERS, CureKind, PourDesign, StrengthNotice
from installs.pour.temperatures import AIR, CONCRETE, is_air
from installs.pour.truck_asks import ticket_twice
from installs.typed import RowForm, offer, offer_rows
from sitecalc.cells import outside
from sitecalc.inputs import InputError
from sitecalc.pour.logger import LoggerLog, decoded, parse_log
from sitecalc.pour.mix import aggregate_sizes
from sitecalc.pour.readings import celsius
from sitecalc.pour.strength import strength_of
from sitecalc.wording import day_words

ROUNDED_PSI = 10.0  # a laboratory's own rounding: ASTM C39, read in a secondary copy
EARLIEST = timedelta(days=2000)


class PourForm(DesignForm[PourDesign]):
    class Meta:
        model = PourDesign
        fields: tuple[str, ...] = ()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.value["normals"] or self.is_bound:
            self.fields["normals"].widget.blank_rows = 0

    def clean_aggregate_in(self) -> float:
        size: float = self.cleaned_data["aggregate_in"]
        if not any(abs(size - known) < 1e-6 for known in aggregate_sizes()):
            raise ValidationError(f"One of {', '.join(f'{known:g}' for known in aggregate_sizes())} in.")
        return size

    def clean_normals(self) -> list[dict[str, Any]]:
        rows: list[dict[str, Any]] = self.cleaned_data["normals"]
        if len(rows) > 1:
            raise ValidationError("One row of twelve months.")
        return rows


class SiteForm(AskingForm):
    """A form whose times are those of the site's clock."""

    def __init__(self, *args: Any, job: Job, now: datetime, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.job, self.now = job, now

    def instant(self, name: str, local: datetime) -> datetime:
        """The instant of a time typed at the site; an error at its field for tomorrow or another decade."""
        at = local.replace(tzinfo=self.job.tz)
        if at > self.now + CLOCKS_APART:
            self.add_error(name, "This is still to come.")
        elif at < self.now - EARLIEST:
            self.add_error(name, "This is years ago.")
        return at


def number(unit: str, low: float, high: float, **more: Any) -> QuantityInput:
    return QuantityInput(unit=unit, validators=[WithinRange(low, high, unit)], **more)


def moment(**more: Any) -> forms.DateTimeField:
    widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
    formats = ["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M", "%m/%d/%Y %H:%M", "%m/%d/%Y %I:%M %p"]
    return NaiveTime(widget=widget, input_formats=formats, **more)


class NaiveTime(forms.DateTimeField):
    """A local time without zone: the zone is the site's, not the server's."""

    def to_python(self, value: Any) -> datetime | None:
        if value in self.empty_values:
            return None
        for pattern in self.input_formats or ():
            try:
                return datetime.strptime(str(value).strip(), pattern)
            except ValueError:
                continue
        raise ValidationError("A time like 2031-05-09 14:30.")


class TruckForm(SiteForm):
    """One truck's ticket and readings; what is left empty was not measured."""

    truck = forms.IntegerField(label="Truck", min_value=1, max_value=99)
    ticket = forms.CharField(label="Ticket number", max_length=40)
    yards = number("yd3", 0.25, 15, label="Yards, yd³")
    batched = moment(label="Batched")
    discharged = moment(label="Discharged", required=False)
    slump = QuantityInput(unit="in", label="Slump, in", required=False)
    air = QuantityInput(label="Air, %", required=False)
    concrete = QuantityInput(label="Concrete, F", required=False)
    water = QuantityInput(label="Water added, gal", required=False)
    water_allowed = number("gal", 0, 500, label="Water allowed by the ticket, gal", required=False)
    refused = forms.BooleanField(label="Rejected, poured nothing", required=False)
    why = forms.CharField(label="Why rejected, or why corrected", max_length=300, required=False)

    READINGS: ClassVar[dict[str, str]] = {"slump": "D03", "air": "D04", "concrete": "D05", "water": "D07"}

    def __init__(self, *args: Any, log: PourLog | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.log = log

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for name, code in self.READINGS.items():
            self.ask_reading(name, cleaned.get(name), likely(code))
        if self.log is not None and cleaned.get("truck") and cleaned.get("ticket"):
            self.ask("ticket", ticket_twice(self.log, cleaned["truck"], cleaned["ticket"]))
        for name in ("batched", "discharged"):
            if cleaned.get(name):
                cleaned[name] = self.instant(name, cleaned[name])
        batched, discharged = cleaned.get("batched"), cleaned.get("discharged")
        if batched and discharged:
            if discharged < batched:
                self.add_error("discharged", "This is before it was batched.")
            elif discharged - batched > timedelta(hours=12):
                self.add_error("discharged", "More than 12 hours after batching: is the date right?")
        if cleaned.get("refused") and not cleaned.get("why"):
            self.add_error("why", "Say why it was rejected.")
        if cleaned.get("refused") and discharged:
            self.add_error("discharged", "A rejected truck was not discharged here.")
        return cleaned | {"confirmed": self.confirmed}


class TemperatureForm(SiteForm):
    """A temperature read by hand, or a sensor taken out."""

    sensor = forms.CharField(label="Sensor", max_length=40)
    taken = moment(label="Read at")
    temp = QuantityInput(unit="", label="Temperature", required=False)
    unit = forms.ChoiceField(label="In", choices=[("F", "F"), ("C", "C")])
    removed = forms.BooleanField(label="The sensor was taken out", required=False)
    note = forms.CharField(label="Note", max_length=300, required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("taken"):
            cleaned["taken"] = self.instant("taken", cleaned["taken"])
        value = cleaned.get("temp")
        if value is None and not cleaned.get("removed") and "temp" not in self.errors:
            self.add_error("temp", "Enter the temperature.")
        if cleaned.get("removed") and not cleaned.get("note"):
            self.add_error("note", "Say why it was taken out.")
        if value is not None:
            known = likely(AIR if is_air(cleaned.get("sensor", "")) else CONCRETE)
            if known and cleaned.get("unit") == "C":
                known = replace(known, least=celsius(known.least), most=celsius(known.most), unit="C")
            self.ask_reading("temp", value, known)
        return cleaned | {"confirmed": self.confirmed}


class LoggerForm(SiteForm):
    """A logger's CSV: read whole before anything is kept."""

    file = forms.FileField(label="Logger file (CSV)", allow_empty_file=True)
    unit = forms.ChoiceField(
        label="Unit where a column names none", choices=[("F", "F"), ("C", "C")], initial="F"
    )
    clock = forms.ChoiceField(
        label="The logger's clock",
        choices=[("site", "follows the site's clock"), ("standard", "keeps standard time all year")],
        initial="site",
    )
    sure = forms.BooleanField(label="The temperatures are right as they stand", required=False)

    content: bytes
    log: LoggerLog

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        try:
            self.content = bounded(cleaned["file"])
            self.log = parse_log(
                decoded(self.content),
                zone=self.job.zone,
                unit=cleaned["unit"],
                clock=cleaned["clock"],
                sure=cleaned["sure"],
            )
        except ValidationError as error:
            self.add_error("file", error)
        except InputError as error:
            name = error.field if error.field in self.fields else "file"
            self.add_error(name, f"{'The file' if name == 'file' else 'This unit'} {error.message}")
        else:
            self._check_dates()
        return cleaned

    def _check_dates(self) -> None:
        if self.log.last > self.now + timedelta(days=1):
            last = self.job.local(self.log.last)
            self.add_error("file", f"The file has a reading of {day_words(last, year=True)}, still to come.")
        elif self.log.first < self.now - EARLIEST:
            first = self.job.local(self.log.first)
            self.add_error("file", f"The file begins in {first.year}: was the logger's clock set?")


# of the specified strength: a break over it is asked again, as one of a 6 in cylinder read for 4 in would be
# (2.25 times the strength; the share itself is common practice, no source)
MOST_OF_SPECIFIED = 1.75


class NoticeForm(AskingForm, RowForm[StrengthNotice]):
    """The written strength notice as it was received. The size of the cylinders is chosen, never assumed."""

    cylinders = RowsField(
        [
            Column("mark", "Mark on the cylinder"),
            Column("psi", "Strength", unit="psi", low=100, high=20000, required=False),
            Column("load_lb", "or its load", unit="lb", low=1000, high=600_000, required=False),
        ],
        blank_rows=4,
        least=1,
        label="Cylinders",
    )
    paper = forms.FileField(label="The notice itself (PDF or photo)", required=False)

    class Meta:
        model = StrengthNotice
        fields = [
            "method",
            "cure",
            "diameter_in",
            "age_days",
            "cylinders",
            "signer",
            "firm",
            "written_on",
            "corrects",
        ]
        widgets = {"written_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}
        labels = {"age_days": "Age at test, days", "corrects": "Corrects an earlier notice"}

    def __init__(
        self,
        *args: Any,
        job: Job,
        now: datetime,
        poured_on: date | None,
        fc_psi: float | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.today, self.poured_on, self.fc_psi = job.local(now).date(), poured_on, fc_psi
        offer(self, "cure", [("", "choose"), *CureKind.choices])
        offer(
            self, "diameter_in", [("", "choose"), *((str(size), words) for size, words in CYLINDERS.items())]
        )
        self.initial["diameter_in"] = None
        self.fields["diameter_in"].error_messages |= {
            "required": "Choose the size that stands on the notice.",
            "invalid_choice": f"Cylinders are {' or '.join(CYLINDERS.values())}.",
        }
        offer_rows(self, "corrects", job.strength_notices.filter(corrections=None))
        self.fields["corrects"].required = False

    def clean_cylinders(self) -> list[dict[str, Any]]:
        rows: list[dict[str, Any]] = self.cleaned_data["cylinders"]
        marks = [row["mark"].casefold() for row in rows]
        if len(set(marks)) < len(marks):
            raise ValidationError("Two cylinders have the same mark.")
        return rows

    def clean_written_on(self) -> date:
        day: date = self.cleaned_data["written_on"]
        if day > self.today:
            raise ValidationError("This is still to come.")
        if self.poured_on and day <= self.poured_on:
            raise ValidationError(
                f"The pad was poured {day_words(self.poured_on, beside=(self.today,))}: after that day."
            )
        return day

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if "cylinders" in cleaned and cleaned.get("diameter_in"):
            self._by_load(cleaned["cylinders"], cleaned["diameter_in"])
        age, written = cleaned.get("age_days"), cleaned.get("written_on")
        if age and written and self.poured_on and age > (written - self.poured_on).days + 1:
            days = (written - self.poured_on).days
            self.add_error("age_days", f"The notice was written {days} days after the pour.")
        return cleaned

    def _by_load(self, rows: list[dict[str, Any]], diameter_in: int) -> None:
        """A cylinder that broke at a load has the strength of its size; where both stand they must agree."""
        for row in rows:
            mark, psi, load = row["mark"], row.get("psi"), row.pop("load_lb", None)
            if load is None:
                if psi is None:
                    self.add_error(
                        "cylinders", f"{mark}: its strength, psi, or the load at which it broke, lb."
                    )
                continue
            found = strength_of(load, diameter_in)
            if psi is not None and abs(psi - found) > ROUNDED_PSI:
                self.add_error(
                    "cylinders",
                    f"{mark}: {load:,.0f} lb on {diameter_in} in across is {found:,.0f} psi, "
                    f"not {psi:,.0f} psi. Which is right?",
                )
            if words := outside(found, 100, 20_000, "psi"):
                self.add_error("cylinders", f"{mark}: {load:,.0f} lb. {words}")
            row.update(psi=found if psi is None else psi, load_lb=load)
        self._as_the_mix_can(rows, diameter_in)

    def _as_the_mix_can(self, rows: list[dict[str, Any]], diameter_in: int) -> None:
        """A strength that such a mix hardly has is asked at what made it: the size, or what was typed."""
        if self.fc_psi is None:
            return
        most = MOST_OF_SPECIFIED * self.fc_psi
        for row in rows:
            psi, load = row.get("psi"), row.get("load_lb")
            if psi is None or psi <= most:
                continue
            said = f"{psi:,.0f} psi, and the mix is specified {self.fc_psi:,.0f} psi."
            if load is None:
                self.ask("cylinders", f"{row['mark']}: {said} {AGAIN}")
            else:
                by = f"{row['mark']}: {load:,.0f} lb on {CYLINDERS[diameter_in]} is"
                self.ask("diameter_in", f"{by} {said} Which size were they? {AGAIN}")


class EarlyReleaseForm(forms.Form):
    """A named engineer's written release before the curing days are reached."""

    engineer = forms.ModelChoiceField(queryset=User.objects.none(), label="Engineer")
    reason = forms.CharField(
        label="Engineer's statement", max_length=2000, widget=forms.Textarea(attrs={"rows": 3})
    )
    paper = forms.FileField(label="The engineer's letter (PDF or photo)", required=False)

    def __init__(self, *args: Any, by: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        engineers = User.objects.filter(role=Role.ENGINEER, archived_on=None).order_by("full_name")
        self.by = by
        offer_rows(self, "engineer", (engineers.filter(pk=by.pk) if by.role == Role.ENGINEER else engineers))
        if by.role == Role.ENGINEER:
            self.fields["engineer"].initial = by

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        engineer = cleaned.get("engineer")
        if engineer and engineer != self.by and not cleaned.get("paper") and "paper" not in self.errors:
            self.add_error(
                "paper", f"{engineer.full_name}'s letter is needed, or {engineer.full_name} signs in."
            )
        return cleaned
