"""A number is given by its name, never by its place alone."""

from __future__ import annotations

import dataclasses
import pkgutil
import re
from collections.abc import Iterator
from importlib import import_module

import pytest

import sitecalc

PARTS = ("foundation", "pour", "ground_station", "lift", "site", "tower", "turbine")
NUMBERS = re.compile(r"\b(int|float|Floats)\b")
MOST = 2


def dataclasses_of(part: str) -> Iterator[type]:
    for found in pkgutil.walk_packages(sitecalc.__path__, "sitecalc."):
        if found.name.startswith(f"sitecalc.{part}."):
            module = import_module(found.name)
            classes = [value for value in vars(module).values() if isinstance(value, type)]
            yield from (c for c in classes if dataclasses.is_dataclass(c) and c.__module__ == found.name)


@pytest.mark.parametrize("part", PARTS)
def test_three_numbers_or_more_are_given_by_name(part: str) -> None:
    """(60, 48, 4.5) says nothing; a pad 60 ft thick is refused by nobody who reads the line."""
    by_place = [
        made.__name__
        for made in dataclasses_of(part)
        if sum(bool(NUMBERS.search(str(f.type))) for f in dataclasses.fields(made) if not f.kw_only) > MOST
    ]
    assert by_place == []
