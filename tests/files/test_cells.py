"""A file refuses what the declaration of its figure refuses, in its words, and says where."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from types import MappingProxyType

import pytest
from django.core.exceptions import ValidationError

from installs.equipment.charts import read_chart
from installs.files.tables import csv_lines
from installs.jobs.figure_fields import field_of
from installs.site.airports import read_strips
from installs.turbine.curves import read_curve
from sitecalc import figures
from sitecalc.cells import figure_named
from sitecalc.inputs import InputError
from sitecalc.lift.chart import Rating
from sitecalc.pour.logger import parse_log
from sitecalc.pour.readings import Reading
from sitecalc.site.curve import CurvePoint
from sitecalc.site.runways import End, Strip

Change = Callable[..., None]


@pytest.fixture
def redeclare(monkeypatch: pytest.MonkeyPatch) -> Iterator[Change]:
    """Gives a figure another range, for one test."""

    def change(row: type, name: str, **ends: float) -> None:
        field = row.__dataclass_fields__[name]  # type: ignore[attr-defined]
        monkeypatch.setattr(field, "metadata", MappingProxyType({**field.metadata, **ends}))
        figures._declared.cache_clear()

    yield change
    monkeypatch.undo()
    figures._declared.cache_clear()


RUNWAYS = (
    b"airport_ident,length_ft,closed,le_ident,le_latitude_deg,le_longitude_deg,le_elevation_ft,"
    b"he_ident,he_latitude_deg,he_longitude_deg,he_elevation_ft\n"
    b"KFSD,9000,0,03,43.57,-96.75,1423,21,43.59,-96.73,1429\n"
)
CASES = {
    "chart": (
        lambda: read_chart(b"radius_ft,80\n20,38000\n"), Rating, "capacity_lb", 30_000,
        "Line 2, column 2, boom 80 ft, capacity_lb: 38000 lb is too large; at most 30000 lb.",
    ),
    "chart, one figure a line": (
        lambda: read_chart(b"capacity_lb,boom_ft,radius_ft\n38000,80,20\n"), Rating, "boom_ft", 70,
        "Line 2, boom_ft: 80 ft is too large; at most 70 ft.",
    ),
    "curve": (
        lambda: read_curve(b"speed_m_s,power_w\n3,100\n5,900\n\n10,9000\n"), CurvePoint, "power_kw", 8,
        "Line 5, power_w: 9000 W or 9 kW is too large; at most 8 kW.",
    ),
    "logger": (
        lambda: parse_log("Time,edge (F)\n2031-04-24 11:00,100\n", zone="UTC"), Reading, "temp_f", 90,
        "line 2, edge: 100 F is too large; at most 90 F.",
    ),
    "runways": (
        lambda: read_strips(RUNWAYS), End, "elevation_ft", 1425,
        "Line 2, he_elevation_ft: 1429 ft is too large; at most 1425 ft.",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES.values(), ids=CASES.keys())
def test_a_range_changed_in_the_declaration_changes_what_a_file_refuses(redeclare: Change, case) -> None:
    read, row, name, high, words = case
    assert read()
    redeclare(row, name, high=high)
    with pytest.raises((ValidationError, InputError)) as refused:
        read()
    said = refused.value.message if isinstance(refused.value, InputError) else refused.value.messages[0]
    assert said.startswith(words)


def test_a_form_says_of_a_number_what_a_file_says(redeclare: Change) -> None:
    redeclare(Rating, "capacity_lb", high=30_000)
    with pytest.raises(ValidationError) as at_the_field:
        field_of(figure_named(Rating, "capacity_lb")).clean("38000")
    with pytest.raises(ValidationError) as in_the_file:
        read_chart(b"boom_ft,radius_ft,capacity_lb\n80,20,38000\n")
    assert in_the_file.value.messages == [f"Line 2, capacity_lb: {at_the_field.value.messages[0]}"]


def test_the_columns_of_a_file_are_called_as_the_figures_are() -> None:
    with pytest.raises(ValidationError, match="boom_ft, radius_ft, capacity_lb"):
        read_chart(b"a,b\n1,2\n")


def test_a_length_that_a_list_of_runways_does_not_know_stays_unknown(redeclare: Change) -> None:
    """0 is what lists write for it; a word is a fault like any other."""
    assert read_strips(RUNWAYS.replace(b"9000", b"0"))[0].length_ft is None
    redeclare(Strip, "length_ft", high=8000)
    assert read_strips(RUNWAYS)[0].length_ft is None
    with pytest.raises(ValidationError, match="Line 2, length_ft: long is not a number"):
        read_strips(RUNWAYS.replace(b"9000", b"long"))


def test_a_cell_under_no_head_is_named_and_not_lost() -> None:
    with pytest.raises(ValidationError, match="Line 2 has more cells, 12, than the first line has columns"):
        read_strips(RUNWAYS.replace(b"1429\n", b"1429,7\n"))


def test_lines_are_counted_as_an_editor_counts_them() -> None:
    """A cell in quotation marks may go over lines."""
    assert [line for line, _ in csv_lines(b'a,"b\nc"\n\nd\n', 9, "a list")] == [1, 4]
