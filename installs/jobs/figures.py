"""The figures of a release with their names, units and sources, as the appendix prints them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, time
from typing import Any

from installs.jobs.parts import TABLE
from sitecalc.checks import readable
from sitecalc.figures import DECLARATION, Figure, declared
from sitecalc.wording import clock_words, day_words

# units as names end in them; the longest is tried first
UNITS = {
    "kip_ft": "kip-ft", "ft_lb": "ft-lb", "sq_ft": "sq ft", "yd3": "yd3", "ft2": "sq ft", "ft": "ft",
    "in": "in", "psi": "psi", "ksi": "ksi", "psf": "psf", "pcf": "pcf", "kip": "kip", "lb": "lb", "mph":
    "mph", "kw": "kW", "kva": "kVA", "v": "V", "a": "A", "deg": "deg", "percent": "%", "pct": "%", "s":
    "s", "hz": "Hz", "rpm": "rpm", "f": "F", "days": "days", "mm": "mm", "m": "m", "w": "W", "dba": "dBA",
}  # fmt: skip

# label and unit, and what each choice is called where the figure is chosen from a list
Label = tuple[str, str] | tuple[str, str, Mapping[str, str]] | None
EMPTY = re.compile(r" \(empty: ([^)]+)\)")
NOT_GIVEN: tuple[Any, ...] = (None, "", [], "not known")  # the last is a choice that nobody has made


def figures_of(
    part: str, inputs: Mapping[str, Any], stands_on: Mapping[str, str] | None = None
) -> list[dict[str, Any]]:
    """One line a figure: label, value as text, unit, source; rows of figures as a table of their own.

    A figure that was left to another part is printed as that part gave it, with the letter of its release;
    ``stands_on`` are the letters by part, as the release keeps them.
    """
    letters = stands_on or {}
    labels = TABLE[part].labels() if part in TABLE else {}
    return _lines(inputs, _declared(part), labels, letters, _taken(part, inputs, letters))


def _lines(
    inputs: Mapping[str, Any],
    figures: Mapping[str, Figure],
    labels: Mapping[str, Label],
    letters: Mapping[str, str],
    taken: Mapping[str, tuple[Any, str]],
    path: str = "",
) -> list[dict[str, Any]]:
    """``path`` is that of the mapping ``inputs``; labels are by their path."""
    places = {name: place for place, name in enumerate(figures or labels)}
    notes = inputs.get("notes") or {}
    lines = []
    for name in _in_order(inputs, places, path):
        value, at = inputs[name], f"{path}{name}"
        said_as = labels.get(at, named(at.replace(".", "_"), figures.get(name)))
        if said_as is None:
            continue
        label, unit, *choices = said_as
        label, empty = meant(label)
        source = str(notes.get(name, "")) if isinstance(notes, Mapping) else ""
        if name in taken and value in NOT_GIVEN:
            value, source = taken[name]
        line: dict[str, Any] = {"name": at.replace(".", "_"), "label": label, "unit": unit, "source": source}
        if isinstance(value, list) and value and all(isinstance(row, Mapping) for row in value):
            lines.append({**line, "rows": _table(value, figures.get(name))})
        elif isinstance(value, Mapping):
            # what another part gave and the figure of that name already says is not said twice
            left = {
                key: inner
                for key, inner in value.items()
                if key not in figures or key not in taken or inputs.get(key) not in (*NOT_GIVEN, inner)
            }
            said_by = {key: lettered(inner, letters) for key, inner in left.items()}
            named_here = [key for key in left if key in figures and not isinstance(left[key], Mapping)]
            also = {f"{at}.{key}": _given_by(name, figures[key]) for key in named_here}
            lines += _lines(said_by, {}, {**labels, **also, **labels}, letters, {}, f"{at}.")
        else:
            figure = figures.get(name)
            words = _worded(_chosen(value, figure.choices if figure else dict(*choices)), figure)
            words = empty if empty and value in NOT_GIVEN else words
            lines.append({**line, "value": words, "is_long": len(words) > 24})
    return lines


def _given_by(part: str, figure: Figure) -> Label:
    """A figure that stands beside the one that was typed in its place: by whom it is given."""
    label, unit = named(figure.name, figure)
    return f"{label}, by the {part}", unit


def _in_order(inputs: Mapping[str, Any], places: Mapping[str, int], path: str) -> list[str]:
    """As the design page or the part lists them; a release keeps its figures by the alphabet."""
    names = [name for name in inputs if path or name not in ("notes", "typed", DECLARATION)]
    return sorted(names, key=lambda name: _place(f"{path}{name}", places))


def _place(path: str, places: Mapping[str, int]) -> int:
    """Of a mapping that of the first that stands in it."""
    inside = (place for name, place in places.items() if name.startswith(f"{path}."))
    return places.get(path, min(inside, default=len(places)))


def _taken(part: str, inputs: Mapping[str, Any], stands_on: Mapping[str, str]) -> dict[str, tuple[Any, str]]:
    """(value, "tower B") of each figure that another part gave; "tower's draft" where none is released so."""
    found: dict[str, tuple[Any, str]] = {}
    for taking in TABLE[part].stands_on if part in TABLE else ():
        letter = stands_on.get(taking.part, "")
        giver = TABLE[taking.part].title.lower() if taking.part in TABLE else taking.part
        by = f"{giver} {letter}" if letter else f"{giver}'s draft"
        if part_given := taking.taken(inputs):
            found |= {name: (value, by) for name, value in part_given.figures.items() if part_given.given}
    return {name: each for name, each in found.items() if each[0] not in NOT_GIVEN}


def lettered(value: Any, stands_on: Mapping[str, str]) -> Any:
    """ "tower's draft, maker's sheet 7" of a release that stands on tower B: "tower B, maker's sheet 7"."""
    if not isinstance(value, str):
        return value
    words = value
    for part, letter in stands_on.items():
        if letter and part in TABLE:
            title = TABLE[part].title.lower()
            words = words.replace(f"{title}'s draft", f"{title} {letter}")
    return words


def _declared(part: str) -> dict[str, Figure]:
    return {f.name: f for f in declared(TABLE[part].draft.FIGURES)} if part in TABLE else {}


def named(name: str, figure: Figure | None = None) -> tuple[str, str]:
    """(label, unit) as the figure is declared, or from a name that ends in its unit."""
    stem, unit = split_unit(name)
    label = stem
    if figure is not None:
        unit = figure.unit or unit
        label = split_unit(figure.meaning.replace(" ", "_"))[0]
    words = label.replace("_", " ")
    return words[:1].upper() + words[1:], unit


def meant(label: str) -> tuple[str, str]:
    """(label, what it means that the figure is left empty): "metal (empty: as the conductor)" of a form."""
    found = EMPTY.search(label)
    return (label[: found.start()] + label[found.end() :], found[1]) if found else (label, "")


def split_unit(name: str) -> tuple[str, str]:
    for ending in sorted(UNITS, key=len, reverse=True):
        if name.endswith(f"_{ending}"):
            return name[: -len(ending) - 1], UNITS[ending]
    return name, ""


def _worded(value: Any, figure: Figure | None) -> str:
    """A day and a time of day as paper has them everywhere; a release keeps them as ISO text."""
    if isinstance(value, str) and value and figure is not None:
        try:
            if figure.kind is date:
                return day_words(date.fromisoformat(value), weekday=True, year=True)
            if figure.kind is time:
                return clock_words(time.fromisoformat(value))
        except ValueError:  # of an older declaration, kept as it was
            return value
    return said(value)


def said(value: Any) -> str:
    """A figure as a person writes it; what was not given says so."""
    if value is None or value == "" or value == []:
        return "not given"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return readable(value)
    if isinstance(value, list):
        return ", ".join(map(said, value))
    return str(value)


MOST_COLUMNS = 8


def _table(rows: list[Mapping[str, Any]], table: Figure | None = None) -> dict[str, Any]:
    """A row a line; rows of many columns stand upright, each a column, so that the page holds them.

    Columns are named and stand as the row is declared; one that is declared no more, by its name.
    """
    columns = {f.name: f for f in declared(table.row_class)} if table is not None and table.is_table else {}
    found = dict.fromkeys(key for row in rows for key in row)
    names = [*(name for name in columns if name in found), *(name for name in found if name not in columns)]
    named_so = {name: meant(_head(name, columns.get(name))) for name in names}
    heads = [head for head, _empty in named_so.values()]
    cells = {
        name: [
            empty if empty and row.get(name) in NOT_GIVEN else _cell(row.get(name), columns.get(name))
            for row in rows
        ]
        for name, (_head_of, empty) in named_so.items()
    }
    if len(names) > max(MOST_COLUMNS, len(rows)):
        return {
            "heads": ["", *(str(number) for number in range(1, len(rows) + 1))],
            "lines": [[head, *cells[name]] for head, name in zip(heads, names, strict=True)],
        }
    return {
        "heads": heads,
        "lines": [[cells[name][place] for name in names] for place in range(len(rows))],
    }


def _cell(value: Any, column: Figure | None) -> str:
    return _worded(_chosen(value, column.choices if column else {}), column)


def _head(name: str, column: Figure | None) -> str:
    if column is None:
        return " ".join(filter(None, named(name)))
    label = column.label
    return ", ".join(filter(None, (label[:1].upper() + label[1:], column.unit)))


def _chosen(value: Any, choices: Mapping[str, str]) -> Any:
    return choices.get(value, value) if isinstance(value, str) else value
