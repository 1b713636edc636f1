"""What a paper prints, as JSON that can be hashed and read back years later.

Sheets are made of drawings (SVG text), checks, dates and rows of the database. Frozen, a dataclass or a row
is a plain object of its fields; safe markup and dates keep their kind under a key of their own, so that the
same template prints the same sheet from the frozen values.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterable, Mapping
from datetime import date, datetime, time
from decimal import Decimal
from enum import Enum
from typing import Any
from uuid import UUID

from django.db import models
from django.utils.functional import Promise
from django.utils.safestring import SafeString, mark_safe

from sitecalc.checks import Check

MARKUP, DAY, INSTANT = "__markup__", "__day__", "__instant__"


def frozen(value: Any) -> Any:
    """JSON values of ``value``. TypeError for what cannot be printed again, an open file for one."""
    if value is None or isinstance(value, bool | int):
        return value
    if isinstance(value, float):
        return _number(value)
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, SafeString):
        return {MARKUP: str(value)}
    if isinstance(value, str):
        return str(value)
    if isinstance(value, datetime):
        return {INSTANT: value.isoformat()}
    if isinstance(value, date):
        return {DAY: value.isoformat()}
    if isinstance(value, Decimal | UUID | Promise | time):
        return str(value)
    if isinstance(value, models.Model):
        return _row(value)
    if isinstance(value, Check):
        return {**_fields(value), "source_note": value.source_note, "passes": value.passes}
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return _fields(value)
    if isinstance(value, Mapping):
        if len(value) == 1 and next(iter(value)) in (MARKUP, DAY, INSTANT):
            raise TypeError("a paper's own marks cannot be among what was typed")
        return {str(key): frozen(item) for key, item in value.items()}
    if isinstance(value, Iterable):
        return [frozen(item) for item in value]
    raise TypeError(f"a {type(value).__name__} cannot be put on a paper")


def _number(value: float) -> float | int | None:
    """As every database gives it back: none of them keeps -0.0, and PostgreSQL writes 1e22 out in full."""
    if not math.isfinite(value):
        return None
    return int(value) if abs(value) >= 1e15 else value + 0.0


def _fields(value: Any) -> dict[str, Any]:
    return {field.name: frozen(getattr(value, field.name)) for field in dataclasses.fields(value)}


def _row(row: models.Model, deep: bool = True) -> dict[str, Any]:
    """A row's own columns, and of a row it points to those that are at hand."""
    values: dict[str, Any] = {"said": str(row)}
    for field in row._meta.concrete_fields:
        if field.name == "password":
            continue
        if not field.is_relation:
            values[field.name] = frozen(getattr(row, field.name))
        elif deep and isinstance(field, models.ForeignKey) and field.is_cached(row):
            other = getattr(row, field.name)
            values[field.name] = None if other is None else _row(other, deep=False)
    return values


def thawed(value: Any) -> Any:
    """Back to what a template prints: markup, dates and instants in their own kinds."""
    if isinstance(value, list):
        return [thawed(item) for item in value]
    if not isinstance(value, dict):
        return value
    if len(value) == 1:
        if MARKUP in value:
            return mark_safe(value[MARKUP])  # it was safe when it was frozen
        if DAY in value:
            return date.fromisoformat(value[DAY])
        if INSTANT in value:
            return datetime.fromisoformat(value[INSTANT])
    return {key: thawed(item) for key, item in value.items()}
