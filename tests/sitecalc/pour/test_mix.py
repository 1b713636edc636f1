from __future__ import annotations

from dataclasses import replace

import pytest

from sitecalc.checks import Verdict
from sitecalc.inputs import InputError
from sitecalc.pour.mix import MixCase, aggregate_sizes, mix, target_air

GOOD = MixCase(fc_psi=4500, foundation_fc_psi=4500, exposure="F2", aggregate_in=0.75, air_pct=6, w_cm=0.43)


def verdicts(case: MixCase) -> dict[str, Verdict]:
    return {c.key: c.verdict for c in mix(case).checks}


def test_a_mix_that_meets_its_exposure_passes():
    assert set(verdicts(GOOD).values()) == {Verdict.PASSES}


@pytest.mark.parametrize(
    ("inches", "f1", "f2"),
    [
        (0.375, 6.0, 7.5),
        (0.5, 5.5, 7.0),
        (0.75, 5.0, 6.0),
        (1, 4.5, 6.0),
        (1.5, 4.5, 5.5),
        (2, 4.0, 5.0),
        (3, 3.5, 4.5),
    ],
)
def test_air_by_stone_and_exposure(inches, f1, f2):
    """ACI 318-19 table 19.3.3.1, read in a secondary copy."""
    assert target_air("F1", inches, 4500) == f1
    assert target_air("F2", inches, 4500) == target_air("F3", inches, 4500) == f2
    assert target_air("F0", inches, 4500) is None


def test_the_air_table_falls_with_the_stone():
    for exposure in ("F1", "F2"):
        airs = [target_air(exposure, size, 4000) for size in sorted(aggregate_sizes())]
        assert airs == sorted(airs, reverse=True)


def test_above_5000_psi_one_percent_less_air_is_allowed():
    """ACI 318-19 19.3.3.6 (from memory)."""
    assert target_air("F2", 0.75, 5000) == 6
    assert target_air("F2", 0.75, 5500) == 5


@pytest.mark.parametrize(
    ("exposure", "fc", "w_cm"), [("F1", 3500, 0.55), ("F2", 4500, 0.45), ("F3", 5000, 0.40)]
)
def test_strength_and_water_by_exposure(exposure, fc, w_cm):
    """ACI 318-19 table 19.3.2.1, read in a secondary copy."""
    at_limit = replace(GOOD, exposure=exposure, fc_psi=fc, w_cm=w_cm, air_pct=8, foundation_fc_psi=fc)
    assert set(verdicts(at_limit).values()) == {Verdict.PASSES}
    assert verdicts(replace(at_limit, fc_psi=fc - 100))["exposure strength"] is Verdict.FAILS
    assert verdicts(replace(at_limit, w_cm=w_cm + 0.01))["w/cm"] is Verdict.FAILS


@pytest.mark.parametrize(
    ("change", "key"), [({"w_cm": None}, "w/cm"), ({"foundation_fc_psi": None}, "mix strength")]
)
def test_what_is_not_known_never_passes(change, key):
    assert verdicts(replace(GOOD, **change))[key] is Verdict.NOT_CHECKED


def test_a_mix_weaker_than_the_foundation_fails():
    assert verdicts(replace(GOOD, foundation_fc_psi=5000))["mix strength"] is Verdict.FAILS


def test_an_erection_strength_above_the_mix_fails():
    assert verdicts(replace(GOOD, erection_psi=4600))["lift within specified"] is Verdict.FAILS


def test_a_stone_that_is_not_in_the_table_is_refused():
    with pytest.raises(InputError, match="not a size of the table"):
        mix(replace(GOOD, aggregate_in=0.8))
