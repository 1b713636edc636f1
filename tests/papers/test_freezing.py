"""What is frozen comes back as it was, and nothing can pass itself off as markup."""

from __future__ import annotations

import io
import json
from dataclasses import dataclass
from datetime import UTC, date, datetime

import pytest
from django.utils.safestring import SafeString, mark_safe
from hypothesis import given
from hypothesis import strategies as st

from installs.jobs.figures import figures_of, named
from installs.papers.freezing import frozen, thawed
from sitecalc.checks import Known, Rule


@dataclass(frozen=True)
class Pad:
    side_ft: float
    note: str


FINITE = st.floats(allow_nan=False, allow_infinity=False)


def round_trip(value):
    return thawed(json.loads(json.dumps(frozen(value), allow_nan=False)))


@given(
    st.recursive(
        st.none()
        | st.booleans()
        | st.integers(-(2**40), 2**40)
        | st.text()
        | st.dates()
        | st.floats(allow_nan=False, allow_infinity=False),
        lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner, min_size=2),
        max_leaves=12,
    )
)
def test_values_come_back_as_they_were(value):
    assert round_trip(value) == value


def test_dates_instants_and_markup_keep_their_kind():
    day, instant = date(2031, 5, 19), datetime(2031, 5, 19, 7, 30, tzinfo=UTC)
    assert round_trip(day) == day and round_trip(instant) == instant
    drawing = round_trip(mark_safe("<svg></svg>"))
    assert isinstance(drawing, SafeString) and not isinstance(round_trip("<svg></svg>"), SafeString)


def test_typed_text_cannot_become_markup():
    with pytest.raises(TypeError):
        frozen({"note": {"__markup__": "<script>"}})
    assert not isinstance(round_trip("__markup__"), SafeString)


def test_dataclasses_and_checks_become_their_fields():
    assert round_trip(Pad(16.5, "x")) == {"side_ft": 16.5, "note": "x"}
    check = Rule("k", "Bearing", "psf", "a handbook", Known.MEMORY).compare(demand=2, capacity=1)
    back = round_trip(check)
    assert (
        back["verdict"] == "fails"
        and back["source_note"] == "a handbook (clause not verified)"
        and not back["passes"]
    )


def test_numbers_that_are_none_become_unknown():
    assert round_trip([float("nan"), float("inf")]) == [None, None]


@pytest.mark.parametrize(
    ("value", "spelled"), [(-0.0, "0.0"), (1e22, "1" + 22 * "0"), (1e-7, "1e-07"), (2.0, "2.0")]
)
def test_numbers_are_spelled_as_any_database_gives_them_back(value, spelled):
    assert json.dumps(frozen(value)) == spelled


def test_what_cannot_be_printed_again_is_refused():
    with pytest.raises(TypeError):
        frozen({"file": object()})
    assert frozen(io.StringIO("a\nb")) == ["a\n", "b"]  # an open text is its lines


@pytest.mark.parametrize(
    ("name", "label", "unit"),
    [
        ("side_ft", "Side", "ft"),
        ("moment_kip_ft", "Moment", "kip-ft"),
        ("bars_each_way", "Bars each way", ""),
        ("f_c_psi", "F c", "psi"),
        ("head_mass_lb", "Head mass", "lb"),
        ("draft", "Draft", ""),
    ],
)
def test_a_name_gives_its_label_and_unit(name, label, unit):
    assert named(name) == (label, unit)


def test_figures_print_unknown_values_rows_and_sources():
    lines = figures_of(
        "nothing",
        {
            "side_ft": 16.5,
            "water_ft": None,
            "notes": {"side_ft": "sketch"},
            "bolts": [{"size_in": 1.0, "count": 4}],
            "built": True,
        },
    )
    said = {line["name"]: line for line in lines}
    assert said["side_ft"]["value"] == "16.5" and said["side_ft"]["source"] == "sketch"
    assert said["water_ft"]["value"] == "not given" and said["built"]["value"] == "yes"
    assert said["bolts"]["rows"] == {"heads": ["Size in", "Count"], "lines": [["1", "4"]]}
