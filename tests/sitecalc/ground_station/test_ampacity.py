from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sitecalc.checks import Verdict
from sitecalc.ground_station.ampacity import ampacity, ampacity_checks, bundling_factor
from sitecalc.ground_station.choose import carries, choose_conductor
from sitecalc.ground_station.run import Run
from sitecalc.ground_station.tables import SIZES
from sitecalc.ground_station.voltage_drop import voltage_drop
from sitecalc.inputs import InputError

RUN = Run(
    name="W1",
    system="1-phase",
    volts=240,
    current_a=20,
    length_ft=100,
    size="4",
    metal="copper",
    insulation="THWN-2",
    conduit="PVC 40",
    trade_size="1",
)


@pytest.mark.parametrize(
    ("size", "carrying", "ambient_f", "answer"),
    [
        ("8", 8, 113, 28.7),  # 50 x 0.82 x 0.70, published derating example of an 8 AWG in a wire-size guide
        ("300", 6, 104, 200.6),  # 285 x 0.88 x 0.80, published exam-preparation example
        ("400", 6, 104, 235.8),  # 335 x 0.88 x 0.80, same
    ],
)
def test_published_derating_examples_from_the_75_c_column(size, carrying, ambient_f, answer):
    """THWN is a 75 C insulation; NEC 310.15(B) and (C)."""
    run = replace(RUN, size=size, insulation="THWN", carrying=carrying, ambient_f=ambient_f)
    assert ampacity(run).corrected_a == pytest.approx(answer, abs=0.06)


@pytest.mark.parametrize(("ambient_f", "answer"), [(86, 60.0), (113, 52.2)])
def test_published_derating_of_6_awg_starts_in_the_90_c_column(ambient_f, answer):
    """75 x 0.80 = 60 A; 75 x 0.87 x 0.80 = 52.2 A, published test vectors for the NEC charts."""
    run = replace(RUN, size="6", carrying=6, ambient_f=ambient_f)
    assert ampacity(run).corrected_a == pytest.approx(answer, abs=0.05)


@pytest.mark.parametrize(
    ("terminals", "current", "column"), [(None, 40, 60), (75, 40, 75), (None, 200, 75), (60, 200, 60)]
)
def test_terminals_are_60_c_to_100_a_unless_marked(terminals, current, column):
    """NEC 110.14(C)(1)."""
    run = replace(RUN, current_a=current, terminals_c=terminals, size="500")
    assert ampacity(run).terminal_column_c == column


def test_the_90_c_column_is_never_used_as_it_stands():
    found = ampacity(replace(RUN, size="3", terminals_c=75))
    assert found.corrected_a == 115 and found.terminal_a == 100 and found.usable_a == 100


def test_100_a_at_75_c_takes_3_awg_not_4():
    """Published test vector: the classic mistake is to size on 90 C, where 4 AWG has 95 and 3 has 115."""
    run = replace(RUN, current_a=80, terminals_c=75, length_ft=1)
    assert choose_conductor(run).for_ampacity == "3"


@pytest.mark.parametrize(("metal", "size"), [("copper", "3/0"), ("aluminum", "250")])
def test_200_a_at_75_c(metal, size):
    """Published test vectors: copper 3/0, aluminum 250 kcmil."""
    run = replace(RUN, current_a=160, terminals_c=75, length_ft=1, metal=metal)
    assert choose_conductor(run).for_ampacity == size


def test_the_125_percent_is_not_put_on_top_of_the_correction():
    """Two tests of 50 A in 4 AWG: 70 A at the terminals for 62.5; 95 x 0.82 x 0.80 = 62.3 for 50."""
    run = replace(RUN, current_a=50, carrying=6, ambient_f=122)
    continuous, corrected = ampacity_checks(run, "2023", "run-1")
    assert (continuous.demand, continuous.capacity) == (62.5, 70)
    assert corrected.demand == 50 and corrected.capacity == pytest.approx(62.32)
    assert continuous.passes and corrected.passes
    assert corrected.capacity < 1.25 * 50  # one test of both together would have failed it


@pytest.mark.parametrize(
    ("count", "factor"),
    [
        (3, 1.0),
        (4, 0.8),
        (6, 0.8),
        (7, 0.7),
        (9, 0.7),
        (10, 0.5),
        (20, 0.5),
        (21, 0.45),
        (40, 0.4),
        (41, 0.35),
    ],
)
def test_bundling_bands(count, factor):
    """NEC Table 310.15(C)(1)."""
    assert bundling_factor(count) == factor


def test_a_neutral_of_the_unbalance_does_not_count_but_a_third_phase_does():
    """NEC 310.15(E): from memory."""
    assert replace(RUN, neutral=True).carrying_count == 2
    assert replace(RUN, system="3-phase").carrying_count == 3


def test_an_ambient_between_two_bands_counts_in_the_hotter_one():
    assert ampacity(replace(RUN, ambient_f=86.0)).ambient_factor == 1.00
    assert ampacity(replace(RUN, ambient_f=86.2)).ambient_factor == 0.96


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"size": "14", "metal": "aluminum"}, "size"),
        ({"ambient_f": 176.0, "insulation": "THWN"}, "ambient_f"),
        ({"sets": 2}, "sets"),
        ({"trade_size": None}, "trade_size"),
        ({"conduit": "direct burial"}, "location"),
    ],
)
def test_what_the_tables_do_not_hold_is_said_at_its_field(change, field):
    with pytest.raises(InputError) as error:
        ampacity(replace(RUN, **change))
    assert error.value.field == field


def test_a_brake_switch_current_over_the_ampacity_fails():
    checks = ampacity_checks(replace(RUN, short_circuit_a=90.0), "2023", "run-1")
    assert checks[-1].verdict is Verdict.FAILS and checks[-1].demand == 90.0


runs = st.builds(
    Run,
    name=st.just("W"),
    system=st.sampled_from(["1-phase", "3-phase", "DC"]),
    volts=st.sampled_from([120.0, 240.0, 480.0]),
    current_a=st.floats(1, 250),
    length_ft=st.floats(1, 1500),
    size=st.just("4/0"),
    metal=st.sampled_from(["copper", "aluminum"]),
    insulation=st.sampled_from(["THWN-2", "THWN"]),
    conduit=st.sampled_from(["PVC 40", "RMC"]),
    trade_size=st.just("2"),
    carrying=st.none() | st.integers(3, 12),
    ambient_f=st.floats(32, 122),
    terminals_c=st.sampled_from([None, 60, 75]),
    short_circuit_a=st.none() | st.floats(1, 200),
    drop_limit_pct=st.floats(1, 5),
)


@given(runs)
def test_the_chosen_conductor_passes_and_the_next_smaller_does_not(run):
    try:
        choice = choose_conductor(run)
    except InputError as error:
        assert error.field == "size"
        return

    def does(size):
        candidate = replace(run, size=size)
        try:
            return carries(candidate) and voltage_drop(candidate).percent <= run.drop_limit_pct
        except InputError:
            return False

    assert does(choice.size)
    assert not any(does(size) for size in SIZES[: SIZES.index(choice.size)])
    assert SIZES.index(choice.for_ampacity) <= SIZES.index(choice.size)


@given(runs, st.floats(0, 30))
def test_a_hotter_run_never_carries_more(run, warmer):
    cool, hot = ampacity(run), ampacity(replace(run, ambient_f=run.ambient_f + warmer))
    assert hot.corrected_a <= cool.corrected_a and hot.usable_a <= cool.usable_a
