"""What a calculation takes: frozen dataclasses whose fields say unit, meaning and range."""

from __future__ import annotations

import dataclasses
import math
import types
import typing
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from functools import cache
from typing import Any, Literal, get_args, get_origin, get_type_hints


class InputError(ValueError):
    """Bad input. ``field`` is the dataclass field (with index and dot for nested ones)."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(f"{field}: {message}")
        self.field = field
        self.message = message


def quantity(
    unit: str,
    meaning: str,
    *,
    low: float | None = None,
    high: float | None = None,
    default: Any = dataclasses.MISSING,
    **more: Any,
) -> Any:
    """A dataclass field with unit, meaning and inclusive range; use "" as unit for a pure number or text.

    ``more`` is what a figure of a part says besides: see sitecalc.figures.
    """
    metadata = {"unit": unit, "meaning": meaning, "low": low, "high": high, **more}
    if default is dataclasses.MISSING:
        return dataclasses.field(metadata=metadata)
    return dataclasses.field(default=default, metadata=metadata)


@dataclass(frozen=True)
class Calculation:
    """One entry of ``python -m sitecalc``.

    name
        dotted by part: "foundation.pad".
    takes
        the frozen dataclass of its input.
    run
        function from that dataclass to a frozen dataclass of results.
    source
        title, edition and clause of the method.
    """

    name: str
    title: str
    takes: type
    run: Callable[[Any], Any]
    source: str


def require_valid(case: Any) -> None:
    """Raise InputError for the first field that is not finite or out of the range its field states.

    Call it first in every public function that takes a dataclass. ``None`` stands for "not given"
    and is left to the calculation.
    """
    _validate(case, "")


def _validate(case: Any, prefix: str) -> None:
    for f in dataclasses.fields(case):
        value = getattr(case, f.name)
        name = f"{prefix}{f.name}"
        if value is None:
            continue
        if dataclasses.is_dataclass(value):
            _validate(value, f"{name}.")
        elif isinstance(value, (tuple, list)):
            for index, item in enumerate(value):
                if dataclasses.is_dataclass(item):
                    _validate(item, f"{name}[{index}].")
                elif isinstance(item, (int, float)):
                    _validate_number(f"{name}[{index}]", item, f.metadata)
        elif isinstance(value, (int, float)) and not isinstance(value, bool):
            _validate_number(name, value, f.metadata)


def _validate_number(name: str, value: float, metadata: Mapping[str, Any]) -> None:
    unit = metadata.get("unit", "")
    if not math.isfinite(value):
        raise InputError(name, "is not a number.")
    low, high = metadata.get("low"), metadata.get("high")
    if low is not None and value < low:
        raise InputError(
            name, f"is {value:g} {unit}; at least {low:g} {unit} is accepted.".replace("  ", " ")
        )
    if high is not None and value > high:
        raise InputError(
            name, f"is {value:g} {unit}; at most {high:g} {unit} is accepted.".replace("  ", " ")
        )


@cache
def _hints(takes: type) -> dict[str, Any]:
    return get_type_hints(takes)


@cache
def _fields(takes: type) -> dict[str, dataclasses.Field[Any]]:
    return {f.name: f for f in dataclasses.fields(takes) if f.init}


def build(takes: type, case: Any, prefix: str = "") -> Any:
    """A JSON object as the dataclass ``takes``; unknown, missing or mistyped fields raise InputError."""
    if not isinstance(case, Mapping):
        raise InputError(prefix.rstrip(".") or "case", "is not an object of fields.")
    hints, fields = _hints(takes), _fields(takes)
    for name in case:
        if name not in fields:
            raise InputError(f"{prefix}{name}", f"is not a field; fields are {', '.join(fields)}.")
    values = {}
    for name, f in fields.items():
        if name in case:
            values[name] = _coerce(hints[name], case[name], f"{prefix}{name}")
        elif f.default is dataclasses.MISSING and f.default_factory is dataclasses.MISSING:
            raise InputError(f"{prefix}{name}", "is missing.")
    return takes(**values)


@cache
def without_none(kind: Any) -> Any:
    """The type that stands beside None; two lists of words ("A" | "") as one."""
    kinds = [k for k in get_args(kind) if k is not type(None)]
    if len(kinds) > 1 and all(get_origin(k) is Literal for k in kinds):
        return Literal[tuple(word for k in kinds for word in get_args(k))]
    return kinds[0]


@cache
def _made_of(kind: Any) -> tuple[Any, tuple[Any, ...]]:
    return get_origin(kind), get_args(kind)


def _coerce(kind: Any, value: Any, name: str) -> Any:
    if kind is float and type(value) is float:
        return value
    origin, args = _made_of(kind)
    if origin in (typing.Union, types.UnionType):
        if value is None and type(None) in args:
            return None
        return _coerce(without_none(kind), value, name)
    if origin is Literal:
        if value not in args:
            raise InputError(name, f"is {value!r}; one of {', '.join(map(str, args))}.")
        return value
    if origin in (tuple, list):
        if not isinstance(value, list):
            raise InputError(name, "is not a list.")
        item = args[0]
        return tuple(_coerce(item, v, f"{name}[{i}]") for i, v in enumerate(value))
    if dataclasses.is_dataclass(kind):
        return build(typing.cast(type, kind), value, f"{name}.")
    if kind is bool:
        if not isinstance(value, bool):
            raise InputError(name, "is neither true nor false.")
        return value
    if kind is int:
        if isinstance(value, bool) or not isinstance(value, int):
            raise InputError(name, "is not a whole number.")
        return value
    if kind is float:
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise InputError(name, "is not a number.")
        try:
            return float(value)
        except OverflowError:
            raise InputError(name, "is too large.") from None
    if kind is datetime or kind is date:
        return _instant_or_day(kind, value, name)
    if kind is time:
        try:
            return time.fromisoformat(value)
        except (TypeError, ValueError):
            raise InputError(name, "is not a time like 07:30.") from None
    if isinstance(kind, type) and issubclass(kind, str):
        try:
            return kind(value)
        except ValueError as error:
            raise InputError(name, str(error)) from None
    raise TypeError(f"{name}: inputs of type {kind} are not supported")


def _instant_or_day(kind: type[date], value: Any, name: str) -> date:
    """ISO text: "2031-05-09" for a date, "2031-05-09T19:00:00-05:00" for an instant."""
    try:
        found = kind.fromisoformat(value)
    except (TypeError, ValueError):
        example = "2031-05-09T19:00:00-05:00" if kind is datetime else "2031-05-09"
        raise InputError(name, f"is not written like {example}.") from None
    if isinstance(found, datetime) and found.tzinfo is None:
        raise InputError(name, "has no offset from UTC, like -05:00 at its end.")
    return found
