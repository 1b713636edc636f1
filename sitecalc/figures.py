"""The figures of a part: each declared once, as a field of the part's frozen, keyword-only dataclass.

A field is made with ``quantity(unit, meaning, low=, high=, default=, ...)`` and may say besides

    choices   words by value, where the words differ from the values of its Literal
    help      what stands beside the field while nobody wrote a source there
    empty     what an empty choice stands for
    balloon   number on the drawing; several figures may share one
    group     heading under which a figure without a number stands
    counted   what a whole number counts, for the sentence of an error ("bolts")
    whole     a float that is a whole number
    most      letters that a text may have
    lines     lines of a text; 0 or left out: one
    label     as the schedule says it, where not the meaning
    row       a row of a catalogue: the draft's own foreign key, in a release its words
    of_site   another site has another: what a kit brings along of it is empty, or asked for again
    aside     it bears on nothing that is signed or checked (a radio channel): changed, it voids no signature
    size, blank_rows, least   of a table of rows

Form, labels, places of errors, columns of a CSV, command line and appendix read this and nothing else.
A value is a JSON object of all figures. It carries the number of the declaration it was written under as
``declaration`` (left out: the first), and ``CARRIED`` of the dataclass brings an older one to today's.
"""

from __future__ import annotations

import dataclasses
import types
import typing
from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from datetime import date, time
from functools import cache
from typing import Any, Literal, get_args, get_origin, get_type_hints

from sitecalc.inputs import InputError, build, require_valid, without_none

DECLARATION = "declaration"
FIRST = 1
LONGEST_TEXT = 120


@dataclass(frozen=True, kw_only=True)
class Figure:
    """One declared figure. ``kind`` is its type without None; ``optional``: None or "" may stand there."""

    name: str
    kind: Any
    optional: bool
    default: Any
    unit: str
    meaning: str
    low: float | None
    high: float | None
    more: Mapping[str, Any]

    @property
    def is_required(self) -> bool:
        return self.default is dataclasses.MISSING

    @property
    def is_row(self) -> bool:
        return bool(self.more.get("row"))

    @property
    def is_aside(self) -> bool:
        """Whether nothing that is signed or checked hangs on it."""
        return bool(self.more.get("aside"))

    @property
    def is_of_site(self) -> bool:
        """Whether another site has another one, so that no kit may bring it along unasked."""
        return bool(self.more.get("of_site"))

    @property
    def is_table(self) -> bool:
        return get_origin(self.kind) is tuple

    @property
    def row_class(self) -> type:
        """Of a table: the dataclass of one row."""
        return typing.cast(type, get_args(self.kind)[0])

    @property
    def label(self) -> str:
        return str(self.more.get("label") or self.meaning)

    @property
    def help(self) -> str:
        return str(self.more.get("help", ""))

    @property
    def most(self) -> int:
        """Letters that a text may have."""
        return int(self.more.get("most", LONGEST_TEXT))

    @property
    def is_numbered(self) -> bool:
        """Whether it stands among the numbered figures; the number 0 is written as none."""
        return "balloon" in self.more

    @property
    def balloon(self) -> int:
        return int(self.more.get("balloon", 0))

    @property
    def group(self) -> str:
        return str(self.more.get("group", ""))

    @property
    def counted(self) -> str:
        """The unit as an error says it."""
        return self.unit or str(self.more.get("counted", ""))

    @property
    def choices(self) -> dict[str, str]:
        """Words by value; empty for a figure that is not chosen from a list."""
        words = self.more.get("choices", {})
        if get_origin(self.kind) is not Literal:
            return dict(words)
        return {value: words.get(value, value) for value in get_args(self.kind) if value != ""}


def declared(figures: type) -> tuple[Figure, ...]:
    """The figures of a part's dataclass, or the columns of a row, in their order."""
    return _declared(figures)


@cache
def _declared(figures: Hashable) -> tuple[Figure, ...]:
    assert isinstance(figures, type)
    hints = get_type_hints(figures)
    return tuple(_figure(f, hints[f.name]) for f in dataclasses.fields(figures))


def _figure(f: dataclasses.Field[Any], hint: Any) -> Figure:
    kind, optional = hint, False
    if get_origin(hint) in (typing.Union, types.UnionType):
        optional = type(None) in get_args(hint)
        kind = without_none(hint)
    if get_origin(kind) is Literal and "" in get_args(kind):
        optional = True
    default = f.default if f.default_factory is dataclasses.MISSING else f.default_factory()
    if kind is str and default == "":
        optional = True
    own = ("unit", "meaning", "low", "high")
    return Figure(
        name=f.name,
        kind=kind,
        optional=optional,
        default=default,
        unit=f.metadata.get("unit", ""),
        meaning=f.metadata.get("meaning", ""),
        low=f.metadata.get("low"),
        high=f.metadata.get("high"),
        more={name: value for name, value in f.metadata.items() if name not in own},
    )


def names(figures: type) -> frozenset[str]:
    return _names(figures)


@cache
def _names(figures: Hashable) -> frozenset[str]:
    assert isinstance(figures, type)
    return frozenset(f.name for f in declared(figures))


def by_balloon(figures: type) -> dict[str, int]:
    """Balloon numbers by the figure's name, in the order of the schedule."""
    numbered = [f for f in declared(figures) if f.is_numbered]
    return {f.name: f.balloon for f in sorted(numbered, key=lambda f: f.balloon)}


def version(figures: type) -> int:
    """The number of the declaration in force: one more than the changes that values are carried over."""
    return FIRST + len(getattr(figures, "CARRIED", ()))


def written(figures: Any) -> dict[str, Any]:
    """The figures as JSON values, as a draft keeps them and a release freezes them."""
    value = {f.name: plain(getattr(figures, f.name)) for f in declared(type(figures)) if not f.is_row}
    number = version(type(figures))
    # what was frozen before declarations had numbers says none, and keeps its hash
    return value if number == FIRST else {**value, DECLARATION: number}


def plain(value: Any) -> Any:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, tuple):
        return [plain(each) for each in value]
    if isinstance(value, (date, time)):
        return value.isoformat()
    return value


def read(figures: type, value: Mapping[str, Any], rows: Mapping[str, Any] | None = None) -> Any:
    """Figures from a JSON value of this or an older declaration. InputError at the figure that is not one.

    ``rows`` are the words of catalogue rows by their figure's name. A figure that the value does not have
    takes its default; under the first declaration, which had no number, figures came and went, so what
    is not known is left out.
    """
    carried = carry(figures, value)
    known = {**carried, **(rows or {})}
    if value.get(DECLARATION, FIRST) == FIRST:
        own = names(figures)
        known = {name: each for name, each in known.items() if name in own}
    known.pop(DECLARATION, None)
    return build(figures, known)


def carry(figures: type, value: Mapping[str, Any]) -> dict[str, Any]:
    """The value as today's declaration has it. InputError for one of a declaration that is not known yet."""
    number = value.get(DECLARATION, FIRST)
    steps = getattr(figures, "CARRIED", ())
    if not isinstance(number, int) or not FIRST <= number <= FIRST + len(steps):
        raise InputError(
            DECLARATION, f"{number!r} is not known here; this program is older than the figures."
        )
    carried = dict(value)
    for step in steps[number - FIRST :]:
        carried = step(carried)
    return carried


def checked(figures: Any) -> Any:
    """The same figures, each in its range. InputError at the first that is not, or that is no choice."""
    require_valid(figures)
    _chosen(figures, "")
    return figures


def _chosen(figures: Any, prefix: str) -> None:
    """What a type cannot say: words out of a table, whole numbers, lengths of texts."""
    for f in declared(type(figures)):
        value, name = getattr(figures, f.name), f"{prefix}{f.name}"
        if f.is_table:
            for index, row in enumerate(value):
                _chosen(row, f"{name}[{index}].")
        elif f.choices and value not in f.choices and not (f.optional and value in (None, "")):
            raise InputError(name, f"is {value!r}; one of {', '.join(f.choices)}.")
        elif isinstance(value, float) and f.more.get("whole") and value != round(value):
            raise InputError(name, f"is {value:g}; a whole number is wanted.")
        elif isinstance(value, str) and len(value) > f.most:
            raise InputError(name, f"has {len(value)} letters; at most {f.most} are kept.")
