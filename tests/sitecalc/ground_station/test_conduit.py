from dataclasses import replace

import pytest

from sitecalc.checks import Verdict
from sitecalc.ground_station.conduit import (
    FillCase,
    Wire,
    check_fill,
    conduit_fill,
    cover_check,
    fill_check,
    longest_hang_ft,
    smallest_trade_size,
    support_check,
)
from sitecalc.ground_station.run import Run
from sitecalc.inputs import InputError

RUN = Run(
    name="W2",
    system="1-phase",
    volts=240,
    current_a=40,
    length_ft=200,
    size="4",
    metal="copper",
    insulation="THWN-2",
    conduit="PVC 40",
    trade_size="1",
    neutral=True,
    ground_size="6",
)


def test_published_fill_of_nine_12_awg():
    """9 x 12 AWG THHN, 0.1197 sq in: 39.4 % of 1/2 in EMT, 22.5 % of 3/4 in. Published test vectors."""
    wires = [Wire(9, "12")]
    assert conduit_fill("EMT", "1/2", wires).wires_in2 == pytest.approx(0.1197)
    assert conduit_fill("EMT", "1/2", wires).percent == pytest.approx(39.4, abs=0.05)
    assert conduit_fill("EMT", "3/4", wires).percent == pytest.approx(22.5, abs=0.05)


def test_published_fill_of_thirteen_12_awg_in_a_nipple():
    """13 x 12 AWG: 56.9 % of 1/2 in EMT, so 3/4 in, but 1/2 in does as a nipple."""
    wires = [Wire(13, "12")]
    assert conduit_fill("EMT", "1/2", wires).percent == pytest.approx(56.9, abs=0.05)
    assert smallest_trade_size("EMT", wires) == "3/4"
    assert smallest_trade_size("EMT", wires, nipple=True) == "1/2"


def test_published_fill_of_large_conductors():
    """1/0 + 500 + 2 x 750 kcmil THHN, 2.9920 sq in: 41.2 % of 3 in PVC 40 fails, 30.7 % of 3-1/2 passes."""
    wires = (Wire(1, "1/0"), Wire(1, "500"), Wire(2, "750"))
    three = check_fill(FillCase("PVC 40", "3", wires))
    assert three.check.verdict is Verdict.FAILS and three.percent == pytest.approx(41.2, abs=0.05)
    larger = check_fill(FillCase("PVC 40", "3-1/2", wires))
    assert larger.check.passes and larger.percent == pytest.approx(30.7, abs=0.05)
    assert three.smallest == "3-1/2"


def test_published_fill_of_one_cable():
    """One cable of 1.000 in diameter in 1-1/4 in EMT: 52.5 %, allowed 53."""
    found = conduit_fill("EMT", "1-1/4", [Wire(1, area_in2=0.7854)])
    assert found.percent == pytest.approx(52.5, abs=0.05) and found.allowed_pct == 53


def test_a_run_counts_its_neutral_and_its_ground():
    """3 x 4 AWG + 1 x 6 AWG THWN-2 = 3 x 0.0824 + 0.0507 = 0.2979 sq in, 35.8 % of 1 in PVC 40, by hand."""
    check = fill_check(RUN, "2023", "r")
    assert check.demand == pytest.approx(35.8, abs=0.05) and check.passes


def test_a_shared_conduit_is_not_checked():
    assert fill_check(replace(RUN, carrying=6), "2023", "r").verdict is Verdict.NOT_CHECKED


def test_an_unknown_wire_is_an_input_error():
    with pytest.raises(InputError):
        conduit_fill("EMT", "1/2", [Wire(1, "9")])
    with pytest.raises(InputError):
        smallest_trade_size("EMT", [Wire(90, "500")])
    with pytest.raises(InputError) as error:
        check_fill(FillCase("EMT", "1/2", ()))
    assert error.value.field == "wires"


@pytest.mark.parametrize(
    ("conduit", "location", "least"),
    [
        ("PVC 40", "open ground", 18),
        ("RMC", "open ground", 6),
        ("direct burial", "open ground", 24),
        ("PVC 80", "street road driveway or parking", 24),
        ("RMC", "driveway of a one- or two-family dwelling", 18),
    ],
)
def test_cover(conduit, location, least):
    """NEC Table 300.5(A)."""
    run = replace(RUN, conduit=conduit, location=location)
    assert cover_check(replace(run, cover_in=float(least)), "2023", "r").passes
    assert cover_check(replace(run, cover_in=least - 0.5), "2023", "r").verdict is Verdict.FAILS
    assert cover_check(run, "2023", "r").verdict is Verdict.NOT_CHECKED


def test_tubing_in_the_ground_is_not_checked_and_what_is_not_buried_needs_no_cover():
    assert cover_check(
        replace(RUN, conduit="EMT", location="open ground", cover_in=48), "2023", "r"
    ).verdict is (Verdict.NOT_CHECKED)
    assert cover_check(RUN, "2023", "r") is None


@pytest.mark.parametrize(
    ("size", "metal", "feet"),
    [
        ("8", "copper", 100),
        ("6", "aluminum", 200),
        ("1/0", "copper", 100),
        ("4/0", "copper", 80),
        ("500", "copper", 50),
    ],
)
def test_vertical_support(size, metal, feet):
    """NEC 2017 Table 300.19(A)."""
    assert longest_hang_ft(size, metal) == feet


def test_a_tower_taller_than_the_limit_needs_a_support_between():
    hanging = replace(RUN, vertical_ft=110)
    assert support_check(hanging, "2023", "r").verdict is Verdict.FAILS
    assert support_check(replace(hanging, support_ft=55), "2023", "r").passes
    assert support_check(RUN, "2023", "r") is None
