from __future__ import annotations

import pytest

from sitecalc.checks import Known, Verdict
from sitecalc.pour.cold import ColdCase, as_mixed, cold_weather, least_as_placed, section_of, sections


@pytest.mark.parametrize(
    ("least_in", "placed", "mixed"),
    [(11, 55, (60, 65, 70)), (12, 50, (55, 60, 65)), (36, 50, (55, 60, 65))],
)
def test_as_placed_and_as_mixed_of_thin_sections(least_in, placed, mixed):
    """ACI 306R table 5.1, first two columns, read in a secondary copy (Masonry & Concrete, fig. 3-37)."""
    assert least_as_placed(least_in) == placed
    assert tuple(as_mixed(least_in, air)[0] for air in (31, 30, -1)) == mixed


@pytest.mark.parametrize(
    ("least_in", "placed", "mixed", "cooling"), [(48, 45, (50, 55, 60), 30), (96, 40, (45, 50, 55), 20)]
)
def test_as_placed_and_as_mixed_of_thick_sections(least_in, placed, mixed, cooling):
    """ACI 306R table 5.1, last two columns: 7.22 and 4.44 C as placed, in The Constructor, Concrete
    temperature limit, table 1; the rest from memory."""
    printed_c = {45: 7.22, 40: 4.44}[placed]
    assert least_as_placed(least_in) == pytest.approx(32 + 1.8 * printed_c, abs=0.01)
    assert least_as_placed(least_in) == placed
    assert tuple(as_mixed(least_in, air)[0] for air in (35, 10, -10)) == mixed
    row = section_of(least_in)
    assert row.cooling_24_h_f == cooling
    assert row.known is Known.MEMORY


def test_no_hotter_than_15_over_the_least_as_mixed():
    """As mixed at most 15 F over lines 2 to 4: read in a fragment of an ACI 306R note."""
    assert as_mixed(24, 10) == (60, 75)


def test_thicker_sections_are_mixed_colder_and_cool_slower():
    """A second relation of the table: every column falls from row to row."""
    rows = sections()
    for name in ("as_placed_f", "mixed_above_30_f", "mixed_0_to_30_f", "mixed_below_0_f", "cooling_24_h_f"):
        values = [getattr(row, name) for row in rows]
        assert values == sorted(values, reverse=True)
    assert all(r.as_placed_f < r.mixed_above_30_f < r.mixed_0_to_30_f < r.mixed_below_0_f for r in rows)


def verdicts(**given) -> dict[str, Verdict]:
    return {c.key: c.verdict for c in cold_weather(ColdCase(least_dimension_in=42.0, **given)).checks}


def test_frozen_ground_form_or_steel_fails_and_what_is_not_read_is_not_checked():
    """No snow or ice on forms and steel: PCA, Design and Control of Concrete Mixtures, chapter 14. Frozen
    ground is thawed first: Masonry and Concrete (2004), p. 77. Water freezes at 32 F."""
    found = verdicts(air_f=20.0, ground_f=36.0, form_f=32.0)
    assert found["ground"] is Verdict.PASSES
    assert found["form"] is Verdict.FAILS
    assert found["steel"] is Verdict.NOT_CHECKED
    assert verdicts(air_f=20.0, ground_f=-12.0)["ground"] is Verdict.FAILS


def test_warm_weather_asks_for_no_thawing():
    """Cold is air under 40 F (ACI 306R-16, read in an abstract)."""
    assert set(verdicts(air_f=40.0)) == {"accelerator"}
    assert "ground" in verdicts(air_f=39.9)


def test_unknown_air_is_not_warm_air():
    assert verdicts()["protection"] is Verdict.NOT_CHECKED
    assert cold_weather(ColdCase(least_dimension_in=42.0)).cold is None


@pytest.mark.parametrize(
    ("air_f", "accelerator", "days", "verdict"),
    [
        (20.0, "none", 5.5, Verdict.FAILS),
        (20.0, "none", 6, Verdict.PASSES),
        (20.0, "no chloride", 4, Verdict.PASSES),
        (20.0, "no chloride", 3.5, Verdict.FAILS),
        (None, "none", 30, Verdict.NOT_CHECKED),
    ],
)
def test_days_of_protection_that_are_planned_are_asked_before_the_pour(air_f, accelerator, days, verdict):
    """ACI 306R table 7.1, partial load and exposed: 6 days, 4 accelerated (from memory)."""
    found = verdicts(air_f=air_f, protection_days=days, accelerator=accelerator)
    assert found["protection planned"] is verdict


def test_nothing_is_planned_against_the_cold_in_warm_weather():
    assert "protection planned" not in verdicts(air_f=60.0, protection_days=0)


@pytest.mark.parametrize(
    ("accelerator", "days", "fell", "verdict"),
    [
        ("none", None, False, Verdict.NOT_CHECKED),
        ("none", 6, False, Verdict.PASSES),
        ("none", 5.9, False, Verdict.NOT_CHECKED),
        ("none", 5.9, True, Verdict.FAILS),
        ("none", 6, True, Verdict.PASSES),
        ("no chloride", 4, False, Verdict.PASSES),
    ],
)
def test_days_of_protection_are_those_that_were_read(accelerator, days, fell, verdict):
    """ACI 306R table 7.1, partial load and exposed: 6 days, 4 accelerated (from memory)."""
    found = verdicts(air_f=20.0, kept_days=days, fell=fell, accelerator=accelerator)
    assert found["protection"] is verdict


def test_an_accelerator_with_chlorides_fails():
    """Common practice beside anchor bolts, no source."""
    assert verdicts(air_f=60.0, accelerator="chloride")["accelerator"] is Verdict.FAILS
