"""Rows of figures inside a design (tower sections, buildings, wiring runs), as a table of inputs.

Stored as a JSON list of objects. In a form each cell is an input of its own, errors name the row
and the column, and empty rows are left out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import KW_ONLY, dataclass
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from installs.measures import QuantityInput, WithinRange, plain_words
from sitecalc.figures import declared

MOST_ROWS = 60
SHORT_WORDS = 8


@dataclass(frozen=True)
class Column:
    """One column: ``choices`` for a word out of a list, ``unit``/``low``/``high`` for a number, else text."""

    name: str
    label: str
    _: KW_ONLY
    unit: str | None = None
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()
    required: bool = True
    size: int = 8
    whole: bool = False

    @property
    def is_wide(self) -> bool:
        """Words need the room of two figures."""
        return max(map(len, self.choices), default=0) > SHORT_WORDS if self.choices else self.unit is None

    def clean(self, text: str) -> Any:
        typed = text.strip()
        if not typed:
            if self.required:
                raise ValidationError("is missing.")
            return None if self.unit is not None else ""
        if self.choices:
            if typed not in self.choices:
                raise ValidationError(f"is one of {', '.join(self.choices)}.")
            return typed
        if self.unit is None:
            if len(typed) > 120:
                raise ValidationError("is too long; 120 characters at most.")
            plain_words(typed)
            return typed
        number = QuantityInput(unit=self.unit).read(typed)
        WithinRange(self.low, self.high, self.unit)(number)
        if self.whole and number != round(number):
            raise ValidationError(f"{number:g} is not a whole number.")
        return number


def columns_of(row: type) -> tuple[Column, ...]:
    """The columns that a row's dataclass declares."""
    return tuple(
        Column(
            f.name,
            f.label,
            unit=f.unit if f.kind is float else None,
            low=f.low,
            high=f.high,
            choices=tuple(f.choices),
            required=not f.optional,
            size=int(f.more.get("size", Column.size)),
            whole=bool(f.more.get("whole")),
        )
        for f in declared(row)
    )


class RowsWidget(forms.Widget):
    template_name = "installs/design/rows.html"

    def __init__(self, columns: Sequence[Column], blank_rows: int = 2) -> None:
        super().__init__()
        self.columns, self.blank_rows = columns, blank_rows

    def value_from_datadict(self, data: Mapping[str, Any], files: Any, name: str) -> list[dict[str, str]]:
        rows = []
        for index in range(MOST_ROWS + 1):
            cells = {c.name: data.get(f"{name}-{index}-{c.name}") for c in self.columns}
            if all(value is None for value in cells.values()):
                break
            rows.append({key: value or "" for key, value in cells.items()})
        return rows

    def value_omitted_from_data(self, data: Mapping[str, Any], files: Any, name: str) -> bool:
        return not any(key.startswith(f"{name}-0-") for key in data)

    def get_context(self, name: str, value: Any, attrs: Any) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        rows = list(value or []) + [{}] * self.blank_rows
        context["columns"] = self.columns
        context["faulty"] = "aria-invalid" in (attrs or {})  # said by its field: then every row is in sight
        context["rows"] = [
            [
                {"column": c, "name": f"{name}-{i}-{c.name}", "value": _shown(row.get(c.name)), "row": i + 1}
                for c in self.columns
            ]
            for i, row in enumerate(rows)
        ]
        return context


def _shown(value: Any) -> str:
    if value is None:
        return ""
    return f"{value:.6g}" if isinstance(value, float) else str(value)


class RowsField(forms.Field):
    """Form field for a JSON list of rows."""

    def __init__(
        self, columns: Sequence[Column], *, blank_rows: int = 2, least: int = 0, **kwargs: Any
    ) -> None:
        kwargs.setdefault("required", least > 0)
        super().__init__(widget=RowsWidget(columns, blank_rows), **kwargs)
        self.columns, self.least = columns, least

    def clean(self, value: Any) -> list[dict[str, Any]]:
        rows, faults = [], []
        for index, row in enumerate(value or []):
            if not any(str(cell).strip() for cell in row.values()):
                continue
            cleaned = {}
            for column in self.columns:
                try:
                    cleaned[column.name] = column.clean(str(row.get(column.name, "")))
                except ValidationError as error:
                    faults.append(f"Row {index + 1}, {column.label.lower()}: {' '.join(error.messages)}")
            rows.append(cleaned)
        if len(rows) > MOST_ROWS:
            faults.append(f"At most {MOST_ROWS} rows.")
        if not faults and len(rows) < self.least:
            faults.append(f"At least {self.least} row{'s' if self.least > 1 else ''}.")
        if faults:
            raise ValidationError(faults)
        return rows

    def has_changed(self, initial: Any, data: Any) -> bool:
        return True
