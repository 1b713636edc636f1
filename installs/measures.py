"""Unit fields and ranges. The only validators that migrations name live here.

A number is stored as float in the US unit its field's name ends in. ``Quantity`` gives the column
its unit, its range as validators with a readable message, and the same range as a database
constraint, from one place.
"""

from __future__ import annotations

import math
import re
import unicodedata
from datetime import date
from typing import Any, TypeVar
from uuid import UUID

from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.utils.deconstruct import deconstructible

from installs.typed import FloatColumn
from sitecalc.cells import LONGEST_NUMBER, NUMBER, THOUSANDS, outside

# what a column of a Quantity may be given, and what it holds: None too where it is null=True
Given = TypeVar("Given", contravariant=True)
Kept = TypeVar("Kept", covariant=True)

FEET_PER = {
    "ft": 1.0,
    "'": 1.0,
    "in": 1 / 12,
    '"': 1 / 12,
    "m": 1 / 0.3048,
    "cm": 0.01 / 0.3048,
    "mm": 0.001 / 0.3048,
}
_LENGTH = re.compile(
    r"(?P<whole>[0-9]*\.?[0-9]+) *(?P<unit>ft|feet|inches|inch|in|mm|cm|m|'|\")?"
    r"(?: *(?P<inches>[0-9]*\.?[0-9]+) *(?:inches|inch|in|\")?)?",
    re.ASCII,
)
_SAME_UNIT = {"feet": "ft", "inch": "in", "inches": "in"}


@deconstructible
class WithinRange:
    """Finite and between low and high (either may be None), said with the unit."""

    def __init__(self, low: float | None, high: float | None, unit: str) -> None:
        self.low, self.high, self.unit = low, high, unit

    def __call__(self, value: float) -> None:
        if not math.isfinite(value):
            raise ValidationError("Enter a number.")
        if words := outside(value, self.low, self.high, self.unit):
            raise ValidationError(words)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, WithinRange) and vars(self) == vars(other)

    def __hash__(self) -> int:
        return hash((self.low, self.high, self.unit))


class QuantityInput(forms.FloatField):
    """A number with its unit behind it; lengths also as "16 ft 6 in", "16' 6" or "5 m"."""

    def __init__(self, *, unit: str = "", **kwargs: Any) -> None:
        self.unit = unit
        # not autocomplete="off": by that a browser forgets what was typed when it goes back to the page
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "decimal", "size": 7}))
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> float | None:  # type: ignore[override]  # by the types a FloatField gives an int
        if value in self.empty_values:
            return None
        return self.read(str(value))

    def read(self, typed: str) -> float:
        """The number that was typed. ValidationError for what is none."""
        text = typed.strip().replace("−", "-")
        if len(text) > LONGEST_NUMBER:
            raise ValidationError("Enter a number; this is too long for one.", code="invalid")
        if "," in text:
            if not THOUSANDS.match(text):
                raise ValidationError("Write decimals with a point, 12.5, and thousands as 1,200.", "invalid")
            text = text.replace(",", "")
        number = float(text) if NUMBER.fullmatch(text) else None
        if number is None and self.unit in ("ft", "in"):
            feet = parse_feet(text, self.unit)
            number = feet * 12 if feet is not None and self.unit == "in" else feet
        if number is None or not math.isfinite(number):
            raise ValidationError("Enter a number.", code="invalid")
        return number

    def prepare_value(self, value: Any) -> Any:
        return f"{value:.6g}" if isinstance(value, float) else value


def parse_feet(text: str, bare_unit: str) -> float | None:
    """Feet from "16 ft 6 in", "16' 6", "5.2 m"; a number alone is in ``bare_unit``. None if not a length.

    A second number can only be inches, and only after feet.
    """
    match = _LENGTH.fullmatch(text.strip())
    if match is None:
        return None
    unit = _SAME_UNIT.get(match["unit"] or bare_unit, match["unit"] or bare_unit)
    feet = float(match["whole"]) * FEET_PER[unit]
    if match["inches"] is None:
        return feet
    return feet + float(match["inches"]) / 12 if match["unit"] in ("ft", "feet", "'") else None


def plain_words(value: Any) -> None:
    """Words that every database can keep and every paper print: no control characters, no half letters."""
    if not isinstance(value, str) or value.isprintable():
        return
    for character in value:
        if character not in "\t\n\r" and unicodedata.category(character) in ("Cc", "Cs"):
            raise ValidationError(
                f"A character here cannot be printed (U+{ord(character):04X}); type the words again.",
                code="control_character",
            )


def uuid_or_none(value: str | None) -> UUID | None:
    """Of what an address carries."""
    try:
        return UUID(value or "")
    except ValueError:
        return None


def sane_day(value: Any) -> None:
    """A date that a person can mean: sorting, adding days and printing hold for it."""
    if isinstance(value, date) and not 1950 <= value.year <= 2100:
        raise ValidationError("A date between 1950 and 2100.")


def short_words(value: str, most: int, field: str | None = None) -> str:
    """The words without blanks around them. ValidationError, at ``field``, if too many or not printable."""
    words = value.strip()
    try:
        if len(words) > most:
            raise ValidationError(f"{len(words):,} characters; at most {most:,} are kept.")
        plain_words(words)
    except ValidationError as error:
        raise ValidationError({field: error.messages}) if field else error from None
    return words


class Quantity(FloatColumn[Given, Kept]):
    """A float column in the unit its name ends in, with a range held by validator and database."""

    def __init__(
        self, *args: Any, unit: str = "", low: float | None = None, high: float | None = None, **kwargs: Any
    ) -> None:
        self.unit, self.low, self.high = unit, low, high
        if low is not None or high is not None:
            kwargs.setdefault("validators", [WithinRange(low, high, unit)])
        super().__init__(*args, **kwargs)

    def deconstruct(self) -> Any:
        name, _path, args, kwargs = super().deconstruct()
        return name, "django.db.models.FloatField", args, kwargs

    def contribute_to_class(self, cls: type[models.Model], name: str, private_only: bool = False) -> None:
        super().contribute_to_class(cls, name, private_only)
        if cls._meta.abstract or (self.low is None and self.high is None):
            return
        within = models.Q()
        if self.low is not None:
            within &= models.Q(**{f"{name}__gte": self.low})
        if self.high is not None:
            within &= models.Q(**{f"{name}__lte": self.high})
        if self.null:
            within |= models.Q(**{f"{name}__isnull": True})
        constraint = models.CheckConstraint(condition=within, name=f"{cls._meta.model_name}_{name}_range")
        # Options reads constraints back from original_attrs when a migration is written
        cls._meta.constraints = [*cls._meta.constraints, constraint]
        cls._meta.original_attrs["constraints"] = cls._meta.constraints

    def formfield(self, **kwargs: Any) -> Any:
        # the range is asked at once, so that a form's own clean() never reckons with 1e308
        within = [v for v in self.validators if isinstance(v, WithinRange)]
        return super().formfield(
            **{"form_class": QuantityInput, "unit": self.unit, "validators": within, **kwargs}
        )


def harmless(cell: str) -> str:
    """A text that begins like a formula gets a mark in front, so that no spreadsheet runs it."""
    return f"'{cell}" if cell[:1] in ("=", "+", "-", "@", "\t", "\r") else cell
