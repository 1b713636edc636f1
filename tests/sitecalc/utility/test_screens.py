"""Screens: limits of FERC SGIP (Order 792) 2.2.1, as restated in NREL/TP-6A20-72102, pp. 13-19.

The examples are our own arithmetic on those limits, worked by hand.
"""

from __future__ import annotations

from dataclasses import fields, replace

import pytest

from sitecalc.checks import Check, Known, Verdict
from sitecalc.utility.figures import ScreensCase
from sitecalc.utility.screens import applied_current, check_screens, output_current

WHOLE = ScreensCase(
    new_kw=10, before_kw=20, peak_kw=1200, circuit="radial", inverter_v=240, inverter_fault_a=50,
    primary_v=7200, line_fault_a=1000, fault_before_a=0, device_a=10_000, device_fault_a=5000,
    secondary="shared", shared_before_kw=6, across="line to line", transformer_kva=25,
)  # fmt: skip


def of(key: str, case: ScreensCase) -> Check:
    return next(check for check in check_screens(case) if check.key == key)


@pytest.mark.parametrize(("before", "passes"), [(165, True), (166, False)])
def test_a_line_section_takes_15_percent_of_its_peak(before: float, passes: bool) -> None:
    """Peak 1,200 kW: limit 180."""
    check = of("line-section", replace(WHOLE, new_kw=15, before_kw=before))
    assert check.capacity == pytest.approx(180)
    assert check.passes is passes


def test_a_spot_network_takes_5_percent_and_at_most_50_kw() -> None:
    """Load 800 kW: 40 kW; of 2,000 kW the cap of 50 kW counts."""
    network = replace(WHOLE, circuit="spot network", network_kw=800, network_before_kw=30)
    assert of("spot-network", network).capacity == pytest.approx(40)
    assert of("spot-network", network).passes
    assert of("spot-network", replace(network, network_before_kw=31)).verdict is Verdict.FAILS
    assert of("spot-network", replace(network, network_kw=2000)).capacity == pytest.approx(50)


def test_the_fault_current_is_carried_to_the_primary_line() -> None:
    """41.7 A x 1.2 on 7.2 kV is 1.67 A against 1,000 A: 0.17 %, limit 10 %."""
    check = of("fault-share", WHOLE)
    assert check.demand == pytest.approx(1.67, abs=0.005)
    assert check.capacity == pytest.approx(100)
    assert of("fault-share", replace(WHOLE, fault_before_a=99)).verdict is Verdict.FAILS


def test_no_device_over_its_share_of_the_interrupting_rating() -> None:
    """10 kA: 8,750 A."""
    assert of("interrupting", WHOLE).capacity == pytest.approx(8750)
    assert of("interrupting", replace(WHOLE, device_fault_a=8749)).verdict is Verdict.FAILS
    assert of("interrupting", replace(WHOLE, device_fault_a=8748)).passes


@pytest.mark.parametrize(("new", "passes"), [(5, True), (6, False)])
def test_a_shared_secondary_takes_20_kw(new: float, passes: bool) -> None:
    """15 + 6 is 21 kW."""
    assert of("shared-secondary", replace(WHOLE, new_kw=new, shared_before_kw=15)).passes is passes


def test_imbalance_is_20_percent_of_the_transformer_and_none_across_both_lines() -> None:
    """25 kVA: 5 kVA."""
    assert of("imbalance", WHOLE).demand == 0
    one = replace(WHOLE, across="line to neutral", new_kw=5)
    assert of("imbalance", one).capacity == pytest.approx(5)
    assert of("imbalance", one).passes
    assert of("imbalance", replace(one, new_kw=5.1)).verdict is Verdict.FAILS


def test_the_process_ends_at_10_kw() -> None:
    assert of("process-size", WHOLE).passes
    assert of("process-size", replace(WHOLE, new_kw=10.5)).verdict is Verdict.FAILS


OPTIONAL = [field.name for field in fields(ScreensCase) if field.name not in ("source", "network_kw")]


def test_every_screen_of_a_whole_case_is_answered() -> None:
    assert not [check.title for check in check_screens(WHOLE) if check.needs_answer]


@pytest.mark.parametrize("name", OPTIONAL)
def test_what_is_not_known_never_passes(name: str) -> None:
    """Whatever screen hangs on the figure is not checked, and no other changes its verdict for the better."""
    unknown = "not known" if name in ("circuit", "secondary", "across") else None
    network = {"network_kw": 800, "network_before_kw": 0, "circuit": "spot network"}
    case = replace(WHOLE, **(network if name.startswith("network") else {}))
    before, after = check_screens(case), check_screens(replace(case, **{name: unknown}))
    opened = [b.key for b, a in zip(before, after, strict=True) if a.verdict is Verdict.NOT_CHECKED]
    assert opened
    assert all(b.verdict == a.verdict or a.verdict is Verdict.NOT_CHECKED
               for b, a in zip(before, after, strict=True))  # fmt: skip


def test_nothing_given_passes_nothing() -> None:
    assert {check.verdict for check in check_screens(ScreensCase())} == {Verdict.NOT_CHECKED}


def test_a_utilitys_own_limits_name_their_source() -> None:
    """COMAR 20.50.09.10, Maryland, Level 2: no device over 90 % of its interrupting rating."""
    comar = replace(WHOLE, interrupting_pct=90, source="COMAR 20.50.09.10")
    check = of("interrupting", comar)
    assert check.capacity == pytest.approx(9000)
    assert (check.source, check.known) == ("COMAR 20.50.09.10", Known.READ)


@pytest.mark.parametrize(
    ("kw", "volts", "three", "amps"),
    [(10, 240, False, 41.67), (25, 240, False, 104.17), (50, 480, True, 60.14), (25, 208, True, 69.39)],
)
def test_the_current_follows_from_the_power(kw: float, volts: float, three: bool, amps: float) -> None:
    """P = V I, with root 3 in three phases (IEEE 100, apparent power at unity)."""
    assert output_current(kw, volts, three_phase=three) == pytest.approx(amps, abs=0.01)


def test_power_beyond_what_the_wiring_is_sized_for_fails_and_unknown_is_not_checked() -> None:
    assert applied_current(15, 240, three_phase=False, wired_a=62.5).passes
    assert applied_current(15.1, 240, three_phase=False, wired_a=62.5).verdict is Verdict.FAILS
    assert applied_current(15, 240, three_phase=False, wired_a=None).verdict is Verdict.NOT_CHECKED
    assert applied_current(None, 240, three_phase=False, wired_a=62.5).verdict is Verdict.NOT_CHECKED
