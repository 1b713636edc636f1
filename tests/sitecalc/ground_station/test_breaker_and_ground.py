from dataclasses import replace

import pytest

from sitecalc.checks import Verdict
from sitecalc.ground_station.breaker import (
    breaker_checks,
    largest_breaker,
    next_standard,
    smallest_breaker,
)
from sitecalc.ground_station.grounding import (
    ElectrodeCase,
    electrode_checks,
    electrode_conductor,
    equipment_ground,
    ground_check,
    rod_resistance_ohm,
    table_electrode_conductor,
    table_equipment_ground,
)
from sitecalc.ground_station.run import Run
from sitecalc.ground_station.tables import area_cmil
from sitecalc.inputs import InputError

RUN = Run(
    name="W3",
    system="1-phase",
    volts=240,
    current_a=10000 / 240,
    length_ft=200,
    size="4",
    metal="copper",
    insulation="THWN-2",
    conduit="PVC 40",
    trade_size="1",
    breaker_a=60,
    ground_size="6",
)


@pytest.mark.parametrize(
    ("kw", "answer"), [(5, 30), (7.6, 40), (10, 60), (12, 70), (15, 80), (20, 110), (25, 150)]
)
def test_breakers_of_common_inverters_at_240_v(kw, answer):
    """1.25 x P / 240 to the next size of NEC 240.6(A), by hand: 26.04, 39.58, 52.08, 62.5, ... A."""
    assert smallest_breaker(kw * 1000 / 240) == answer


def test_next_standard_size():
    """NEC 240.6(A)."""
    assert [next_standard(a) for a in (15, 15.01, 115, 801)] == [15, 20, 125, 1000]
    with pytest.raises(InputError):
        next_standard(6001)


@pytest.mark.parametrize(
    ("usable", "size", "metal", "answer"),
    [
        (115, "2", "copper", 125),  # published example of the next size up
        (35, "10", "copper", 30),  # NEC 240.4(D)(7)
        (25, "12", "copper", 20),  # NEC 240.4(D)(5)
        (35, "10", "aluminum", 25),  # NEC 240.4(D)(6)
        (100, "3", "copper", 100),  # a standard size itself: no next one
        (799, "500", "copper", 800),  # NEC 240.4(B): to 800 A
        (950, "500", "copper", 800),  # NEC 240.4(C): above, not rounded up
        (1005, "500", "copper", 1000),
    ],
)
def test_largest_device_for_a_conductor(usable, size, metal, answer):
    assert largest_breaker(usable, size, metal) == answer


def test_a_breaker_may_be_too_small_or_too_large():
    small = breaker_checks(replace(RUN, breaker_a=50), "2023", "r")
    assert small[0].verdict is Verdict.FAILS and small[1].passes
    large = breaker_checks(replace(RUN, breaker_a=100), "2023", "r")
    assert large[0].passes and large[1].verdict is Verdict.FAILS


def test_no_breaker_passes_only_with_a_known_current_from_all_sources():
    """NEC 694.15(A) exception (2017)."""
    bare = replace(RUN, breaker_a=None)
    assert breaker_checks(bare, "2017", "r")[0].verdict is Verdict.NOT_CHECKED
    braked = replace(bare, short_circuit_a=60.0)
    assert breaker_checks(braked, "2017", "r")[0].verdict is Verdict.NOT_CHECKED
    assert breaker_checks(replace(braked, backfeed_a=0.0), "2017", "r")[0].passes
    assert breaker_checks(replace(braked, backfeed_a=71.0), "2017", "r")[0].verdict is Verdict.FAILS
    over = replace(braked, short_circuit_a=71.0, backfeed_a=0.0)
    assert breaker_checks(over, "2017", "r")[0].verdict is Verdict.FAILS


def test_a_size_that_is_not_standard_is_not_passed_over():
    assert breaker_checks(replace(RUN, breaker_a=55), "2023", "r")[-1].verdict is Verdict.NOT_CHECKED


@pytest.mark.parametrize(
    ("breaker", "copper", "aluminum"),
    [
        (15, "14", "12"),
        (30, "10", "8"),
        (60, "10", "8"),
        (100, "8", "6"),
        (225, "4", "2"),
        (1200, "3/0", "250"),
    ],
)
def test_equipment_ground_by_the_device(breaker, copper, aluminum):
    """NEC Table 250.122: the first row not under the device."""
    assert table_equipment_ground(breaker, "copper") == copper
    assert table_equipment_ground(breaker, "aluminum") == aluminum


@pytest.mark.parametrize(
    ("breaker", "least", "used", "answer"),
    [
        (60, "6", "6", "10"),
        (60, "6", "4", "6"),  # 10,380 x 41,740 / 26,240 = 16,511 cmil: 8 AWG (16,510) is 1 cmil short
        (60, "6", "2", "4"),  # 26,251 cmil: 6 AWG (26,240) is short
        (100, "3", "1/0", "4"),  # 16,510 x 105,600 / 52,620 = 33,133 cmil
        (20, "12", "12", "12"),
        (200, "3/0", "500", "1"),  # 26,240 x 500,000 / 167,800 = 78,188 cmil
    ],
)
def test_equipment_ground_grows_with_the_phase_conductors(breaker, least, used, answer):
    """NEC 250.122(B), by hand in circular mils."""
    assert equipment_ground(breaker, "copper", area_cmil(used), area_cmil(least)) == answer


def test_equipment_ground_never_exceeds_the_phase_conductor():
    """NEC 250.122(A): 12 AWG grown to 10 behind 20 A asks for 10, not more."""
    assert equipment_ground(20, "copper", area_cmil("10"), area_cmil("12")) == "10"
    assert equipment_ground(60, "copper", area_cmil("12"), area_cmil("14")) == "12"


def test_ground_check_names_the_size_it_wants():
    assert ground_check(RUN, "6", "2023", "r").passes
    short = ground_check(replace(RUN, ground_size="8"), "6", "2023", "r")
    assert short.verdict is Verdict.FAILS and "6 AWG copper required" in short.note
    assert ground_check(replace(RUN, ground_size=None), "6", "2023", "r").verdict is Verdict.NOT_CHECKED


@pytest.mark.parametrize(
    ("size", "metal", "sets", "answer"),
    [
        ("2", "copper", 1, "8"),
        ("1", "copper", 1, "6"),
        ("3/0", "copper", 1, "4"),
        ("4/0", "copper", 1, "2"),
        ("4/0", "aluminum", 1, "4"),
        ("500", "copper", 1, "1/0"),
        ("350", "copper", 2, "2/0"),
    ],
)
def test_grounding_electrode_conductor(size, metal, sets, answer):
    """NEC Table 250.66; the last four are published test vectors for the NEC charts."""
    assert table_electrode_conductor(sets * area_cmil(size), metal, "copper") == answer


def test_a_conductor_to_rods_only_need_not_be_larger_than_6():
    """NEC 250.66(A) to (C): 6 AWG copper to rods, 4 to concrete-encased, the ring's own 2 to a ring."""
    case = ElectrodeCase(kind="rods", conductor_size="6", largest_size="500", largest_metal="copper")
    assert electrode_conductor(case) == "6"
    assert electrode_conductor(replace(case, kind="concrete-encased")) == "4"
    assert electrode_conductor(replace(case, kind="ground ring")) == "2"
    assert electrode_conductor(replace(case, largest_size="2")) == "8"


def test_one_rod_needs_25_ohm_and_two_need_6_ft():
    """NEC 2017 250.53(A)(2) with its exception, 250.53(A)(3), 250.53(G)."""
    one = ElectrodeCase(kind="rods", conductor_size="6", rods=1, largest_size="2", largest_metal="copper")
    verdicts = [
        electrode_checks(case, "2023")[1].verdict
        for case in (
            one,
            replace(one, measured_ohm=25.0),
            replace(one, measured_ohm=26.0),
            replace(one, rods=2, spacing_ft=6.0),
            replace(one, rods=2, spacing_ft=5.9),
            replace(one, rods=2, rod_length_ft=7.9),
            replace(one, rods=0),
        )
    ]
    assert [str(v) for v in verdicts] == [
        "not checked",
        "passes",
        "fails",
        "passes",
        "fails",
        "fails",
        "fails",
    ]


def test_rod_resistance_against_the_nomograph_of_the_military_handbook():
    """MIL-HDBK-419A volume II: 10 ft by 3/4 in in 10,000 ohm-cm, 32 ohm."""
    assert rod_resistance_ohm(100.0, 10.0, 0.75) == pytest.approx(32, abs=0.5)
