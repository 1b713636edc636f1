"""Unit fields and ranges. The only validators that migrations name live here.

A number is stored as float in the US unit its field's name ends in. ``Quantity`` gives the column
its unit, its range as validators with a readable message, and the same range as a database
constraint, from one place.
"""

from __future__ import annotations

import math
import re
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.utils.deconstruct import deconstructible

FEET_PER = {
    "ft": 1.0,
    "'": 1.0,
    "in": 1 / 12,
    '"': 1 / 12,
    "m": 1 / 0.3048,
    "cm": 0.01 / 0.3048,
    "mm": 0.001 / 0.3048,
}
_LENGTH_PART = re.compile(r"([0-9]*\.?[0-9]+)\s*(ft|feet|in|inch|inches|mm|cm|m|'|\")?\s*")


@deconstructible
class WithinRange:
    """Finite and between low and high (either may be None), said with the unit."""

    def __init__(self, low: float | None, high: float | None, unit: str) -> None:
        self.low, self.high, self.unit = low, high, unit

    def __call__(self, value: float) -> None:
        if not math.isfinite(value):
            raise ValidationError("Enter a number.")
        if self.low is not None and value < self.low:
            raise ValidationError(
                f"{value:g} {self.unit} is too small; at least {self.low:g} {self.unit}.{self._slip(value)}"
            )
        if self.high is not None and value > self.high:
            raise ValidationError(
                f"{value:g} {self.unit} is too large; at most {self.high:g} {self.unit}.{self._slip(value)}"
            )

    def _slip(self, value: float) -> str:
        """A hint where the number would fit in a neighboring unit: 12 in typed into feet."""
        factor, other = {
            "ft": (1 / 12, "in"),
            "in": (12, "ft"),
            "kip": (0.001, "lb"),
            "lb": (1000, "kip"),
            "psi": (1000, "ksi"),
            "kW": (0.001, "W"),
        }.get(self.unit, (0, ""))
        fits = (
            factor
            and (self.low is None or value * factor >= self.low)
            and (self.high is None or value * factor <= self.high)
        )
        return f" Typed in {other}?" if fits else ""

    def __eq__(self, other: object) -> bool:
        return isinstance(other, WithinRange) and vars(self) == vars(other)

    def __hash__(self) -> int:
        return hash((self.low, self.high, self.unit))


class QuantityInput(forms.FloatField):
    """A number with its unit behind it; lengths also as "16 ft 6 in", "16' 6" or "5 m"."""

    def __init__(self, *, unit: str = "", **kwargs: Any) -> None:
        self.unit = unit
        kwargs.setdefault(
            "widget", forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "size": 7})
        )
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> float | None:
        if value in self.empty_values:
            return None
        text = str(value).strip().replace(",", "").replace("−", "-")
        if self.unit in ("ft", "in"):
            feet = parse_feet(text, self.unit)
            if feet is not None:
                return feet if self.unit == "ft" else feet * 12
        if len(text) > 40:
            raise ValidationError("Enter a number.", code="invalid")
        number = super().to_python(text)
        if number is not None and not math.isfinite(number):
            raise ValidationError("Enter a number.", code="invalid")
        return number

    def prepare_value(self, value: Any) -> Any:
        return f"{value:.6g}" if isinstance(value, float) else value


def parse_feet(text: str, bare_unit: str) -> float | None:
    """Feet from "16 ft 6 in", "16' 6\"", "5.2 m"; a bare number is in ``bare_unit``. None if not a length."""
    position, total, found = 0, 0.0, False
    while position < len(text):
        match = _LENGTH_PART.match(text, position)
        if not match:
            return None
        unit = {"feet": "ft", "inch": "in", "inches": "in", None: bare_unit}.get(match[2], match[2])
        total += float(match[1]) * FEET_PER[unit]
        position, found = match.end(), True
    return total if found else None


class Quantity(models.FloatField):
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
        return super().formfield(**{"form_class": QuantityInput, "unit": self.unit, **kwargs})
