"""Fields of a calculation's case that are figures of a part: unit, range and default stand with the figure.

    @dataclass(frozen=True, kw_only=True)
    class PadCase:
        side_ft: float = same_as(FoundationFigures, "side_ft", required=True)
        concrete_pcf: float = quantity("pcf", "weight of the concrete", low=100, high=165, default=150.0)

    case = drawn_from(PadCase, figures, dead_kip=12.0)
    found = worked(check_pad, case)

``ranged_as(FoundationFigures, "pedestal_side_ft", "other side")`` is no figure and is measured as one.
A figure that is left empty is None in a case, a choice too. A field that is no figure but hangs on one says
at which figure its error is shown: ``quantity(..., shown_at="outline")``.
"""

from __future__ import annotations

import dataclasses
import re
import types
import typing
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any, TypeVar, get_args, get_origin, get_type_hints

from sitecalc.figures import Figure, declared
from sitecalc.inputs import InputError, quantity, without_none

Case = TypeVar("Case")
Result = TypeVar("Result")


def same_as(
    figures: type,
    name: str,
    *,
    required: bool = False,
    default: Any = dataclasses.MISSING,
    low: float | None = None,
    high: float | None = None,
) -> Any:
    """A field of a case that is the figure ``name`` of ``figures``: its unit, meaning, range and default.

    required
        it must be said to the calculation: the figure's default is a starting layout, or empty.
    default, low, high
        where the calculation takes something else for granted than the form, or holds in another range than
        may be entered; the reason stands beside it.
    """
    figure = _figure(figures, name)
    taken = default
    if default is dataclasses.MISSING and not required:
        taken = None if figure.choices and figure.default == "" else figure.default
    return quantity(
        figure.unit,
        figure.meaning,
        low=figure.low if low is None else low,
        high=figure.high if high is None else high,
        default=taken,
        figure=(figures, name),
    )


def ranged_as(
    figures: type,
    name: str,
    meaning: str,
    *,
    default: Any = dataclasses.MISSING,
    low: float | None = None,
    high: float | None = None,
    shown_at: str | None = None,
) -> Any:
    """A field that is another thing of the same kind as the figure ``name``: its unit and range, never drawn.

    The range stands once, with the figure; ``low`` and ``high`` as in :func:`same_as`.
    """
    figure = _figure(figures, name)
    return quantity(
        figure.unit,
        meaning,
        low=figure.low if low is None else low,
        high=figure.high if high is None else high,
        default=default,
        ranged_as=(figures, name),
        **({"shown_at": shown_at} if shown_at else {}),
    )


def drawn_from(case: type[Case], *figures: Any, **others: Any) -> Case:
    """A ``case`` whose fields that are the same as one of ``figures`` (a part's, a row) are taken from there.

    ``others`` are the fields that are no figures, and those that are taken from elsewhere this time.
    An empty figure is the field's own default where it has one and may not be None; InputError at a figure
    that is empty though the case must have it.
    """
    fields = _taken(typing.cast(Any, case))
    taken = {
        field.name: _value(each, field)
        for field in fields
        for each in figures
        if field.name not in others and isinstance(each, field.figures)
    }
    by_default = {field.name for field in fields if field.has_default and not field.optional}
    given = {name: value for name, value in taken.items() if value is not None or name not in by_default}
    return case(**given, **others)


def figure_of(case: type, field: str) -> str:
    """The figure that a field of a case is, or at which its errors are shown; else the field's own name.

    ``field`` as an InputError names it: "side_ft", "mats.cover_lower_in", "measured[2].mark".
    """
    return _shown_at(case, field) or field


def worked(run: Callable[[Case], Result], case: Case) -> Result:
    """``run(case)``; an InputError of a field of the case names the figure that the field is."""
    try:
        return run(case)
    except InputError as error:
        raise InputError(figure_of(type(case), error.field), error.message) from error


def _shown_at(case: type, field: str) -> str | None:
    first, _, rest = field.partition(".")
    name = re.sub(r"\[\d+\]$", "", first)
    found = next((f for f in dataclasses.fields(case) if f.name == name), None)
    if found is None:
        return None
    inner = _dataclass_in(_hints(case)[name])
    if rest and inner is not None and (within := _shown_at(inner, rest)) is not None:
        return within
    if "figure" in found.metadata:
        return str(found.metadata["figure"][1])
    return found.metadata.get("shown_at")


def _figure(figures: type, name: str) -> Figure:
    return next(figure for figure in declared(figures) if figure.name == name)


def _value(figures: Any, field: _Taken) -> Any:
    value, figure = getattr(figures, field.figure), _figure(field.figures, field.figure)
    if value == "" and figure.choices:
        value = None
    if value is not None and figure.more.get("whole"):
        value = int(value)
    if value is None and not (field.optional or field.has_default):
        raise InputError(field.figure, "is not given.")
    return value


@dataclass(frozen=True, kw_only=True)
class _Taken:
    """A field of a case that is a figure; ``optional``: it may be None."""

    name: str
    figures: type
    figure: str
    optional: bool
    has_default: bool


@cache
def _taken(case: Any) -> tuple[_Taken, ...]:
    hints = _hints(case)
    return tuple(
        _Taken(
            name=f.name,
            figures=f.metadata["figure"][0],
            figure=f.metadata["figure"][1],
            optional=types.NoneType in get_args(hints[f.name]),
            has_default=f.default is not dataclasses.MISSING,
        )
        for f in dataclasses.fields(case)
        if "figure" in f.metadata
    )


@cache
def _hints(case: Any) -> dict[str, Any]:
    return get_type_hints(case)


def _dataclass_in(kind: Any) -> type | None:
    """The dataclass of a field, of what stands beside None, or of one in a row."""
    if get_origin(kind) in (typing.Union, types.UnionType):
        return _dataclass_in(without_none(kind))
    if get_origin(kind) is tuple:
        return _dataclass_in(get_args(kind)[0])
    return typing.cast(type, kind) if dataclasses.is_dataclass(kind) else None
