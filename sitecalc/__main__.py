"""``python -m sitecalc`` lists every calculation; ``python -m sitecalc NAME case.json`` runs one.

``python -m sitecalc PART`` lists the figures of a part's design with their ranges: "foundation", "tower".
"""

from __future__ import annotations

import dataclasses
import json
import math
import os
import sys
import typing
from datetime import date
from importlib import import_module
from pathlib import Path
from typing import Any, get_args, get_origin, get_type_hints

from sitecalc.figures import declared
from sitecalc.inputs import Calculation, InputError, build

PARTS = ("site", "foundation", "pour", "tower", "turbine", "ground_station", "lift", "utility")


def calculations() -> dict[str, Calculation]:
    found = (c for part in PARTS for c in import_module(f"sitecalc.{part}").CALCULATIONS)
    return {c.name: c for c in found}


def listing() -> str:
    lines = []
    for calculation in calculations().values():
        lines += ["", f"{calculation.name}: {calculation.title}", f"  source: {calculation.source}"]
        lines += _fields(calculation.takes, "  ")
    return "\n".join(lines[1:])


def _fields(takes: type, indent: str) -> list[str]:
    """A line for each field; under one that is a case itself, or a row of them, that one's fields."""
    lines, hints = [], get_type_hints(takes)
    for f in dataclasses.fields(takes):
        unit, meaning = f.metadata.get("unit", ""), f.metadata.get("meaning", "")
        needed = f.default is dataclasses.MISSING and f.default_factory is dataclasses.MISSING
        ending = "" if needed else " (may be left out)"
        kind, in_rows = _nested(hints[f.name])
        name = f"{f.name}[]" if in_rows else f.name
        lines.append(f"{indent + name:<36} {unit:<10} {meaning}{ending}".rstrip())
        if kind is not None:
            lines += _fields(kind, f"{indent}  ")
    return lines


def _nested(kind: Any) -> tuple[type | None, bool]:
    """(the dataclass in the type of a field or None, whether it is a row of them)."""
    if dataclasses.is_dataclass(kind):
        return typing.cast(type, kind), False
    in_rows = get_origin(kind) in (tuple, list)
    for part in get_args(kind):
        found, rows = _nested(part)
        if found is not None:
            return found, in_rows or rows
    return None, False


def figures_of(part: str) -> type:
    """The dataclass that declares the part's figures."""
    name = "".join(word.capitalize() for word in part.split("_"))
    return typing.cast(type, getattr(import_module(f"sitecalc.{part}.figures"), f"{name}Figures"))


def figures_listing(figures: type, indent: str = "") -> str:
    """A line a figure: name, unit, range, default, meaning; under a table those of its row."""
    lines = []
    for f in declared(figures):
        low, high = ("" if end is None else f"{end:g}" for end in (f.low, f.high))
        within = f"{low} to {high}" if low or high else ", ".join(f.choices)
        default = "" if f.is_required or f.default in (None, "", ()) else f"default {f.default}"
        lines.append(f"{indent + f.name:<34} {f.unit:<10} {within:<24} {default:<22} {f.label}".rstrip())
        if f.is_table:
            lines.append(figures_listing(f.row_class, f"{indent}  "))
    return "\n".join(lines)


def plain(value: Any) -> Any:
    """Dataclasses, enums, tuples and dates as JSON values; a number that is not finite as null."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, dict):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(v) for v in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    if isinstance(value, date):
        return value.isoformat()
    return value


def run(name: str, case: Any) -> dict[str, Any]:
    """Inputs echoed and the result of calculation ``name`` as JSON values; InputError if bad."""
    known = calculations()
    if name not in known:
        raise InputError("calculation", f"{name!r} is none of {', '.join(known)}.")
    inputs = build(known[name].takes, case)
    return {"calculation": name, "inputs": plain(inputs), "results": plain(known[name].run(inputs))}


def main(arguments: list[str]) -> int:
    if not arguments:
        return _print(listing())
    if len(arguments) == 1 and arguments[0] in PARTS:
        return _print(figures_listing(figures_of(arguments[0])))
    if len(arguments) != 2:
        print("usage: python -m sitecalc [PART | NAME case.json]", file=sys.stderr)
        return 2
    name, path = arguments
    try:
        text = sys.stdin.read() if path == "-" else Path(path).read_text(encoding="utf-8")
        answer = run(name, json.loads(text))
    except InputError as error:
        print(f"sitecalc: {error}", file=sys.stderr)
        return 2
    except (OSError, UnicodeDecodeError) as error:
        print(f"sitecalc: cannot read {path}: {error}", file=sys.stderr)
        return 2
    except json.JSONDecodeError as error:
        print(f"sitecalc: {path} is not JSON: {error}", file=sys.stderr)
        return 2
    return _print(json.dumps(answer, indent=2, allow_nan=False))


def _print(text: str) -> int:
    """To standard output; whoever reads it (head, a pager) may stop before the end, and that is no error."""
    try:
        print(text)
        sys.stdout.flush()
    except BrokenPipeError:
        # Python flushes once more as it ends: into nothing
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
