"""What is recorded on the day of the pour beside the trucks: a form each, and what its fields become.

``says`` is read here and by the phone without signal alike, one entry each. In ``subject``, ``text`` and
``data`` a name in braces stands for what was typed; in ``data`` a bare name for its value; ``number`` is the
sum of the fields named, or what ``derive`` works out of all of them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator

from installs.checklists.asking import AskingForm
from installs.checklists.library import likely
from installs.measures import QuantityInput, WithinRange
from installs.pour.field_log import PourLog
from installs.pour.truck_asks import no_such_truck
from sitecalc.pour.placing import EvaporationCase, evaporation
from sitecalc.wording import clock_field

FURTHEST = timedelta(days=365)


class ReadingInput(QuantityInput):
    """A reading of an item: one that is hardly so is asked again."""

    def __init__(self, label: str, code: str) -> None:
        self.likely = likely(code)
        super().__init__(label=label, unit=self.likely.unit if self.likely else "")


def number(label: str, unit: str, low: float, high: float, **more: Any) -> QuantityInput:
    """What goes into an equation, which holds in this range only."""
    return QuantityInput(label=label, unit=unit, validators=[WithinRange(low, high, unit)], **more)


def whole(label: str, low: int, high: int) -> forms.IntegerField:
    return forms.IntegerField(label=label, min_value=low, max_value=high)


@dataclass(frozen=True)
class Ask:
    """What is wanted at a field: one of ``any_of`` filled in, or the field itself once ``when`` is."""

    field: str
    words: str
    any_of: tuple[str, ...] = ()
    when: str = ""

    def lacks(self, given: Mapping[str, Any]) -> bool:
        if self.any_of:
            return not any(given.get(name) for name in self.any_of)
        return bool(given.get(self.when)) and not given.get(self.field)

    @property
    def told(self) -> dict[str, Any]:
        return {"field": self.field, "words": self.words, "any": self.any_of or None, "when": self.when}


# worked out of all the fields of a form; the phone's twin of each stands in static/installs/entries.js
DERIVED: dict[str, Callable[[Mapping[str, Any]], float]] = {
    "evaporation": lambda given: round(evaporation(EvaporationCase(**given)).rate_lb_ft2_h, 3)
}


class DayForm(AskingForm):
    says: tuple[dict[str, Any], ...] = ()
    asks: tuple[Ask, ...] = ()

    def __init__(self, *args: Any, now: datetime, log: PourLog | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today, self.log = now.date(), log

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for ask in () if self.errors else self.asks:
            if ask.lacks(cleaned):
                self.add_error(ask.field, ask.words)
        for name, field in self.fields.items():
            if isinstance(field, ReadingInput):
                self.ask_reading(name, cleaned.get(name), field.likely)
        return cleaned

    def entries(self) -> list[dict[str, Any]]:
        made = [_stated(says, self.cleaned_data) for says in self.says]
        return [{**entry, "data": {**entry["data"], **self.kept}} for entry in made]

    def told(self) -> list[dict[str, Any]]:
        """Every field as the phone is told of it."""
        return [{"name": name, "required": f.required, **_kind(f)} for name, f in self.fields.items()]


def _stated(says: Mapping[str, Any], given: Mapping[str, Any]) -> dict[str, Any]:
    typed = {name: _typed(value) for name, value in given.items()}
    entry: dict[str, Any] = {"subject": says.get("subject", "").format(**typed)}
    if "derive" in says:
        entry["number"] = DERIVED[says["derive"]](given)
    if "number" in says:
        entry["number"] = float(sum(given[name] for name in says["number"]))
    if "unit" in says:
        entry["unit"] = says["unit"]
    if "text" in says:
        entry["text"] = says["text"].format(**typed)
    data = says.get("data", {})
    entry["data"] = {k: v.format(**typed) if "{" in v else given[v] for k, v in data.items()}
    return entry


def _typed(value: Any) -> Any:
    """A date or a time as the browser's field gives it."""
    return clock_field(value) if hasattr(value, "tzinfo") else value


def _kind(field: forms.Field) -> dict[str, Any]:
    if isinstance(field, ReadingInput):
        known = field.likely
        told = {"low": known.least, "high": known.most, "unit": known.unit, "asked": True} if known else {}
        return {"kind": "number", **told}
    if isinstance(field, QuantityInput):
        within = next(v for v in field.validators if isinstance(v, WithinRange))
        return {"kind": "number", "low": within.low, "high": within.high, "unit": within.unit}
    if isinstance(field, forms.IntegerField):
        low = next(v.limit_value for v in field.validators if isinstance(v, MinValueValidator))
        high = next(v.limit_value for v in field.validators if isinstance(v, MaxValueValidator))
        return {"kind": "number", "low": low, "high": high, "unit": "", "whole": True}
    if isinstance(field, forms.DateField):
        return {"kind": "date", "days": FURTHEST.days}
    return {"kind": "tick" if isinstance(field, forms.BooleanField) else "text"}


class Words(DayForm):
    """Who was told, and what they said."""

    text = forms.CharField(label="Who, and what was said", max_length=300)
    says = ({"text": "{text}"},)


class Called(DayForm):
    """Day and hour by the clock at the site."""

    day = forms.DateField(label="Day", widget=forms.DateInput(attrs={"type": "date"}))
    hour = forms.TimeField(label="First truck at", widget=forms.TimeInput(attrs={"type": "time"}))
    says = ({"text": "{day} {hour}", "data": {"for": "{day}T{hour}"}},)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("day") and abs(cleaned["day"] - self.today) > FURTHEST:
            self.add_error("day", "That is more than a year from now.")
        return cleaned


class Air(DayForm):
    air = ReadingInput("Air now, F", "D06")
    low = ReadingInput("Lowest forecast of the next three nights, F", "D06")
    says = ({"subject": "air", "number": ["air"], "unit": "F", "data": {"low_f": "low"}},)


class Ready(DayForm):
    text = forms.CharField(label="What is there", max_length=300)
    says = ({"text": "{text}"},)


class Thawed(DayForm):
    ground = ReadingInput("Ground under the pad, F", "D19")
    form = ReadingInput("Forms, F", "D19")
    steel = ReadingInput("Steel and bolts, F", "D19")
    says = tuple({"subject": n, "number": [n], "unit": "F"} for n in ("ground", "form", "steel"))


class Cylinders(DayForm):
    truck = whole("From truck", 1, 99)
    lab = whole("Lab set, cylinders", 0, 20)
    field = whole("Field set, cylinders", 0, 20)
    marks = forms.CharField(label="Marks", max_length=60)
    beside = forms.BooleanField(label="The field set stands beside the pad, under its covers", required=False)
    asks = (
        Ask("lab", "No cylinder made?", any_of=("lab", "field")),
        Ask(
            "beside", "Cured elsewhere they are no field-cured cylinders: put them there first.", when="field"
        ),
    )
    says = (
        {
            "subject": "truck {truck}",
            "number": ["lab", "field"],
            "unit": "cylinders",
            "text": "{marks}",
            "data": {"lab": "lab", "field": "field", "marks": "marks"},
        },
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if self.log is not None and cleaned.get("truck") is not None:
            self.ask("truck", no_such_truck(self.log, cleaned["truck"]))
        return cleaned


class Evaporating(DayForm):
    concrete_f = number("Concrete surface, F", "F", 32, 120)
    air_f = number("Air, F", "F", 0, 130)
    humidity_pct = number("Relative humidity, %", "%", 0, 100)
    wind_mph = number("Wind 20 in above the surface, mph", "mph", 0, 60)
    says = (
        {
            "derive": "evaporation",
            "unit": "lb/ft2/h",
            "data": {n: n for n in ("concrete_f", "air_f", "humidity_pct", "wind_mph")},
        },
    )


class Stopped(DayForm):
    yards = ReadingInput("Yards placed, yd³", "D21")
    text = forms.CharField(label="Why, and how the face was left", max_length=300)
    says = ({"number": ["yards"], "unit": "yd3", "text": "{text}"},)


BEFORE: dict[str, tuple[str, type[DayForm]]] = {
    "D20": ("Pour set for", Called),
    "D15": ("Inspector told of the pour", Words),
    "D16": ("Plant has the order, read back", Words),
    "D17": ("Testing lab booked", Words),
    "D06": ("Air and the coming nights", Air),
    "D18": ("Heat and covers on site", Ready),
    "D19": ("Thawed: ground, forms, steel", Thawed),
}
DURING: dict[str, tuple[str, type[DayForm]]] = {
    "D08": ("Cylinders made", Cylinders),
    "D22": ("Evaporation from the surface", Evaporating),
    "D21": ("Pour stopped, form not full", Stopped),
}
FORMS = {**BEFORE, **DURING}
PUT_RIGHT = ("D20", "D19", "D08", "D21")  # a newer record takes the place of the one before


def form_of(code: str, now: datetime, posted: Any = None, log: PourLog | None = None) -> DayForm:
    """``now`` by the clock at the site; ``log`` says which trucks there are."""
    return FORMS[code][1](posted, now=now, log=log)
