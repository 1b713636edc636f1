"""Sound by distance."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from sitecalc.checks import Verdict
from sitecalc.site.noise import NoiseCase, energy_sum, level_at, noise

CASE = NoiseCase(rated_dba=50, hub_ft=110, distance_ft=320, limit_dba=55)


def test_at_60_m_it_is_the_rated_level() -> None:
    """AWEA 9.1-2009: rated at 60 m from the rotor's center (from memory)."""
    assert level_at(50, 60 / 0.3048) == pytest.approx(50)


def test_twice_the_distance_is_6_db_less() -> None:
    """Textbook: spherical spreading loses 20 log10(2) = 6.02 dB a doubling."""
    assert level_at(50, 400) - level_at(50, 800) == pytest.approx(20 * math.log10(2))


def test_spreading_agrees_with_a_published_sound_power_example() -> None:
    """SPL = PWL + DI - 20 log r - 11, DI 3: 100 dB gives 52 dB at 100 m (lists.topica.com, mwwg, 2005)."""

    def published(r: float) -> float:
        return 100 + 3 - 20 * math.log10(r) - 11

    assert published(100) == pytest.approx(52)
    assert level_at(published(60), 100 / 0.3048) == pytest.approx(52)


def test_distance_is_the_slant_one() -> None:
    """Hub 110 ft, ear 5 ft: 140 ft off is 175 ft away (a 3-4-5 triangle)."""
    found = noise(replace(CASE, distance_ft=140))
    assert found.slant_ft == pytest.approx(175)
    assert found.level_dba == pytest.approx(50 + 20 * math.log10(60 / (175 * 0.3048)))


def test_levels_add_as_energy() -> None:
    """Textbook: two equal sources are 3.01 dB louder than one; 10 dB under adds 0.41 dB."""
    assert energy_sum([45, 45]) == pytest.approx(48.01, abs=0.005)
    assert energy_sum([50, 40]) == pytest.approx(50.41, abs=0.005)


def test_against_the_ordinance() -> None:
    """Summerset, South Dakota, 154.081: 55 dBA at the nearest neighboring dwelling."""
    dwelling = replace(CASE, place="nearest neighboring dwelling", limit_source="Summerset 154.081")
    assert noise(dwelling).checks[0].passes
    assert noise(replace(dwelling, rated_dba=60, distance_ft=100)).checks[0].verdict is Verdict.FAILS


@pytest.mark.parametrize(
    "case", [replace(CASE, rated_dba=None), replace(CASE, distance_ft=None), replace(CASE, limit_dba=None)]
)
def test_without_rating_distance_or_limit_nothing_passes(case: NoiseCase) -> None:
    assert noise(case).checks[0].verdict is Verdict.NOT_CHECKED
