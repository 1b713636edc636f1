"""What the tower hands down, and how far bars run into concrete."""

from __future__ import annotations

import math

import mypy.api
import pytest

from sitecalc.foundation.development import BarInConcrete, class_b_lap_in, development, ld_in
from sitecalc.foundation.loads import (
    BaseLoads,
    ServiceLoad,
    StrengthLoad,
    require_service,
    require_strength,
    service,
    strength,
)
from sitecalc.inputs import InputError


def base(kind, factor=None):
    return BaseLoads(
        dead_kip=10.0,
        moment_kip_ft=500.0,
        shear_kip=8.0,
        torsion_kip_ft=20.0,
        kind=kind,
        wind_strength_factor=factor,
    )


@pytest.mark.parametrize(
    ("kind", "at_service", "at_strength"),
    [
        ("ASCE strength level", 0.6, 1.0),
        ("IEC extreme gust", 1.0, 1.35),
        ("maker's service", 1.0, 1.6),
        ("maker's strength level", 1 / 1.35, 1.0),
    ],
)
def test_each_kind_has_its_own_factor_on_the_wind(kind, at_service, at_strength) -> None:
    """0.6W of ASCE 7-16 2.4.1 and 1.6 of ASCE 7-05 (read in secondary copies); 1.35: partial
    load factor of IEC 61400-2 as listed in lecture slides of D. Wood (scribd.com document 388531137)."""
    for load in service(base(kind))[1:]:
        assert load.moment_kip_ft == pytest.approx(at_service * 500)
        assert load.torsion_kip_ft == pytest.approx(at_service * 20)
    for load in strength(base(kind))[1:]:
        assert load.shear_kip == pytest.approx(at_strength * 8)


def test_least_and_greatest_dead_load_and_dead_load_alone() -> None:
    """ASCE 7-16, 2.3.1 and 2.4.1 (read in secondary copies)."""
    held = service(base("ASCE strength level"))
    factored = strength(base("ASCE strength level"))
    assert [x.vertical_kip for x in held] == [10, 10, 6]
    assert [x.vertical_kip for x in factored] == pytest.approx([14, 12, 9])
    assert [x.name for x in held] == ["D", "D + 0.6W", "0.6D + 0.6W"]
    assert [x.name for x in factored] == ["1.4D", "1.2D + 1.0W", "0.9D + 1.0W"]
    assert factored[0].moment_kip_ft == held[0].moment_kip_ft == 0


def test_a_stated_factor_goes_before_the_usual_one() -> None:
    assert strength(base("maker's service", 1.5))[1].moment_kip_ft == pytest.approx(750)
    assert service(base("maker's strength level", 1.6))[1].moment_kip_ft == pytest.approx(500 / 1.6)
    assert strength(base("maker's strength level", 1.6))[1].moment_kip_ft == pytest.approx(500)
    with pytest.raises(InputError, match="ASCE strength level"):
        strength(base("ASCE strength level", 1.6))


def test_service_and_factored_loads_are_never_mixed() -> None:
    loads = base("IEC extreme gust")
    require_service(service(loads))
    require_strength(strength(loads))
    with pytest.raises(TypeError):
        require_service(strength(loads))
    with pytest.raises(TypeError):
        require_strength(service(loads))
    assert not issubclass(ServiceLoad, StrengthLoad) and not issubclass(StrengthLoad, ServiceLoad)


MIXED = """
from sitecalc.foundation.loads import BaseLoads, require_service, require_strength, service, strength
b = BaseLoads(dead_kip=1.0, moment_kip_ft=2.0, shear_kip=3.0)
require_service(service(b))
require_strength(strength(b))
require_service(strength(b))
require_strength(service(b))
"""


def test_the_type_checker_refuses_mixed_loads(tmp_path) -> None:
    asked = ["--config-file=", f"--cache-dir={tmp_path}", "--follow-imports=silent", "-c", MIXED]
    said, _, _ = mypy.api.run(asked)
    assert said.count("error:") == 2
    assert "tuple[StrengthLoad" in said and "tuple[ServiceLoad" in said


def test_ld_of_a_published_footing() -> None:
    """Wight & MacGregor, Reinforced Concrete, 5th ed., Ex. 15-2: #8, f'c 3,000 psi, 54.8 in."""
    assert ld_in("#8", 3000) == pytest.approx(54.8, abs=0.05)


@pytest.mark.parametrize(
    ("size", "fc", "ld", "lap"),
    [
        ("#3", 3000, 16.4, 21.4), ("#4", 3000, 21.9, 28.5), ("#5", 3000, 27.4, 35.6),
        ("#6", 3000, 32.9, 42.7),
        ("#7", 3000, 47.9, 62.3), ("#9", 3000, 61.8, 80.3), ("#11", 3000, 77.2, 100.4),
        ("#5", 4000, 23.7, 30.8),
        ("#6", 4000, 28.5, 37.0), ("#8", 4000, 47.4, 61.7), ("#10", 4000, 60.2, 78.3),
    ],
)  # fmt: skip
def test_ld_and_lap_worked_out_by_hand(size, fc, ld, lap) -> None:
    """From the formula of ACI 318-19, table 25.4.2.3, by hand; Grade 60, bottom bars (read in secondary
    copies)."""
    assert ld_in(size, fc) == pytest.approx(ld, abs=0.06)
    assert class_b_lap_in(size, fc) == pytest.approx(lap, abs=0.08)


@pytest.mark.parametrize(("size", "ldh"), [("#5", 7.39), ("#6", 9.71), ("#7", 12.24), ("#8", 14.95)])
def test_hooks_worked_out_by_hand(size, ldh) -> None:
    """From the formula of ACI 318-19, 25.4.3.1, by hand; f'c 4,000 psi, psi_r and psi_o 1 (read in secondary
    copies)."""
    best = development(BarInConcrete(size=size, fc_psi=4000, hooks_apart=True, hooks_covered=True))
    crowded = development(BarInConcrete(size=size, fc_psi=4000, hooks_covered=True))
    assert best.hooked_in == pytest.approx(ldh, abs=0.006)
    assert crowded.hooked_in == pytest.approx(1.6 * ldh, abs=0.01)


def test_what_makes_a_bar_longer() -> None:
    """ACI 318-19, 25.4.2.3 to 25.4.2.5 (read in secondary copies)."""
    plain = development(BarInConcrete(size="#6", fc_psi=4000)).straight_in

    def ratio(**more) -> float:
        return development(BarInConcrete(size="#6", fc_psi=4000, **more)).straight_in / plain

    assert ratio(top=True) == pytest.approx(1.3)
    assert ratio(close=True) == pytest.approx(1.5)
    assert ratio(coating="epoxy") == pytest.approx(1.2)
    assert ratio(coating="epoxy, close", top=True) == pytest.approx(1.7)
    assert ratio(yield_ksi=80.0) == pytest.approx(80 / 60 * 1.15)
    assert ratio(light=0.75) == pytest.approx(1 / 0.75)


def test_no_bar_is_developed_in_less_than_a_foot() -> None:
    """25.4.2.1 and 25.5.2.1 (read in secondary copies)."""
    assert ld_in("#3", 10_000, 40.0) == 12
    assert math.isclose(class_b_lap_in("#3", 10_000, 40.0), 15.6)
