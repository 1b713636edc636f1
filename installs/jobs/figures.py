"""The figures of a release with their names, units and sources, as the appendix prints them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from installs.jobs.parts import TABLE
from sitecalc.checks import readable
from sitecalc.figures import DECLARATION, Figure, declared

# units as names end in them; the longest is tried first
UNITS = {
    "kip_ft": "kip-ft", "ft_lb": "ft-lb", "sq_ft": "sq ft", "yd3": "yd3", "ft2": "sq ft", "ft": "ft",
    "in": "in", "psi": "psi", "ksi": "ksi", "psf": "psf", "pcf": "pcf", "kip": "kip", "lb": "lb", "mph":
    "mph", "kw": "kW", "kva": "kVA", "v": "V", "a": "A", "deg": "deg", "percent": "%", "pct": "%", "s":
    "s", "hz": "Hz", "rpm": "rpm", "f": "F", "days": "days", "mm": "mm", "m": "m", "w": "W",
}  # fmt: skip


def figures_of(
    part: str, inputs: Mapping[str, Any], stands_on: Mapping[str, str] | None = None
) -> list[dict[str, Any]]:
    """One line a figure: label, value as text, unit, source; rows of figures as a table of their own.

    A figure that was left to another part is printed as that part gave it, with the letter of its release;
    ``stands_on`` are the letters by part, as the release keeps them.
    """
    figures, taken = _declared(part), _taken(part, inputs, stands_on or {})
    notes = inputs.get("notes") or {}
    lines = []
    for name in _in_form_order(inputs, figures):
        value = inputs[name]
        label, unit = named(name, figures.get(name))
        source = str(notes.get(name, "")) if isinstance(notes, Mapping) else ""
        if name in taken and value in (None, "", []):
            value, source = taken[name]
        line: dict[str, Any] = {"name": name, "label": label, "unit": unit, "source": source}
        if isinstance(value, list) and value and all(isinstance(row, Mapping) for row in value):
            lines.append({**line, "rows": _table(value)})
        elif isinstance(value, Mapping):
            said_by = {key: lettered(inner, stands_on or {}) for key, inner in value.items()}
            lines += figures_of("", {f"{name}_{key}": inner for key, inner in said_by.items()})
        else:
            lines.append({**line, "value": said(value), "is_long": len(said(value)) > 24})
    return lines


def _taken(part: str, inputs: Mapping[str, Any], stands_on: Mapping[str, str]) -> dict[str, tuple[Any, str]]:
    """(value, "tower B") of each figure that another part gave; "tower's draft" where none is released so."""
    found = {}
    for taking in TABLE[part].stands_on if part in TABLE else ():
        letter = stands_on.get(taking.part, "")
        giver = TABLE[taking.part].title.lower() if taking.part in TABLE else taking.part
        by = f"{giver} {letter}" if letter else f"{giver}'s draft"
        if part_given := taking.taken(inputs):
            found |= {name: (value, by) for name, value in part_given.figures.items() if part_given.given}
    return {name: each for name, each in found.items() if each[0] not in (None, "", [])}


def lettered(value: Any, stands_on: Mapping[str, str]) -> Any:
    """ "tower's draft, maker's sheet 7" of a release that stands on tower B: "tower B, maker's sheet 7"."""
    if not isinstance(value, str):
        return value
    for part, letter in stands_on.items():
        if letter and part in TABLE:
            value = value.replace(
                f"{TABLE[part].title.lower()}'s draft", f"{TABLE[part].title.lower()} {letter}"
            )
    return value


def _in_form_order(inputs: Mapping[str, Any], figures: Mapping[str, Figure]) -> list[str]:
    """As the design page lists them; a release keeps its figures by the alphabet."""
    places = {name: place for place, name in enumerate(figures)}
    names = [name for name in inputs if name not in ("notes", "typed", DECLARATION)]
    return sorted(names, key=lambda name: places.get(name, len(places)))


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


def split_unit(name: str) -> tuple[str, str]:
    for ending in sorted(UNITS, key=len, reverse=True):
        if name.endswith(f"_{ending}"):
            return name[: -len(ending) - 1], UNITS[ending]
    return name, ""


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


def _table(rows: list[Mapping[str, Any]]) -> dict[str, Any]:
    """A row a line; rows of many columns stand upright, each a column, so that the page holds them."""
    names = list(dict.fromkeys(key for row in rows for key in row))
    if len(names) > max(MOST_COLUMNS, len(rows)):
        return {
            "heads": ["", *(str(number) for number in range(1, len(rows) + 1))],
            "lines": [
                [" ".join(filter(None, named(name))), *(said(row.get(name)) for row in rows)]
                for name in names
            ],
        }
    return {
        "heads": [" ".join(filter(None, named(name))) for name in names],
        "lines": [[said(row.get(name)) for name in names] for row in rows],
    }
