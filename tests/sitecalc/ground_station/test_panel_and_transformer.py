from dataclasses import replace

import pytest

from sitecalc.checks import Verdict
from sitecalc.ground_station.panel import PanelCase, busbar_ways, check_panel
from sitecalc.ground_station.transformer import TransformerCase, check_transformer
from sitecalc.inputs import InputError

FAR = PanelCase(
    edition="2023",
    connection="load side",
    bus_a=200,
    main_a=200,
    inverters_a=(32.0,),
    position="opposite end from main",
    dwelling=False,
)


@pytest.mark.parametrize(
    ("bus", "main", "inverter", "passes"),
    [
        (200, 200, 32.0, True),  # 40 + 200 = 240 of 240
        (200, 200, 10000 / 240, False),  # 52.08 + 200 = 252.08 of 240
        (200, 175, 10000 / 240, True),
        (400, 400, 62.5, True),  # 478.1 of 480
        (100, 100, 5000 / 240, False),  # 126 of 120
        (125, 100, 5000 / 240, True),
    ],
)
def test_120_percent_with_the_source_at_the_far_end(bus, main, inverter, passes):
    """NEC 2017 705.12(B)(2)(3)(b): 125 % of the inverter's current and the main on 120 % of the bus."""
    case = replace(FAR, bus_a=bus, main_a=main, inverters_a=(inverter,))
    assert check_panel(case).checks[0].passes is passes


def test_100_percent_needs_no_place_on_the_bus():
    """NEC 2017 705.12(B)(2)(3)(a)."""
    case = replace(FAR, bus_a=225, main_a=150, position="elsewhere")
    assert check_panel(case).checks[0].passes
    assert not check_panel(replace(case, main_a=200)).checks[0].passes


def test_the_sum_of_breakers_may_pass_what_the_others_fail():
    """Published forum case: 200 A bus, one 30 A load and a 60 A source, 90 of 200 A."""
    case = replace(FAR, inverters_a=(48.0,), position="elsewhere", breakers_sum_a=90.0)
    check = check_panel(case).checks[0]
    assert check.passes and check.case == "sum of breakers without the main"
    assert check_panel(replace(case, breakers_sum_a=201.0)).checks[0].verdict is Verdict.FAILS


def test_an_unknown_place_never_passes_by_the_120_percent_rule():
    assert check_panel(replace(FAR, position="not known")).checks[0].verdict is Verdict.NOT_CHECKED
    assert check_panel(replace(FAR, position="elsewhere")).checks[0].verdict is Verdict.FAILS
    # no place would help: fails even though the place is unknown
    worse = replace(FAR, position="not known", inverters_a=(50.0,))
    assert check_panel(worse).checks[0].verdict is Verdict.FAILS


def test_a_center_fed_bus_counts_in_a_dwelling_only():
    case = replace(FAR, position="center-fed, one end")
    assert not any(w.passes for w in busbar_ways(case))
    assert any(w.passes for w in busbar_ways(replace(case, dwelling=True)))


def test_sections_follow_the_edition():
    sources = {e: check_panel(replace(FAR, edition=e)).checks[0].source for e in ("2017", "2020", "2023")}
    assert "705.12(B)(2)(3)" in sources["2017"]
    assert "705.12(B)(3)" in sources["2020"]
    assert sources["2023"].endswith("705.12(B)")


def test_the_supply_side_is_held_to_the_service_and_a_short_tap():
    """NEC 2017 705.12(A), 705.31: sources up to the service's rating, device within 10 ft."""
    case = replace(FAR, connection="supply side", service_a=200.0, source_breakers_a=60.0, tap_ft=9.0)
    assert all(c.passes for c in check_panel(case).checks)
    assert check_panel(replace(case, tap_ft=11.0)).checks[1].verdict is Verdict.FAILS
    assert check_panel(replace(case, tap_ft=None)).checks[1].verdict is Verdict.NOT_CHECKED
    assert check_panel(replace(case, source_breakers_a=225.0)).checks[0].verdict is Verdict.FAILS
    assert check_panel(replace(case, source_breakers_a=None)).checks[0].verdict is Verdict.NOT_CHECKED


def test_no_inverter_is_an_input_error():
    with pytest.raises(InputError) as error:
        check_panel(replace(FAR, inverters_a=()))
    assert error.value.field == "inverters_a"


def test_published_45_kva_transformer():
    """480 to 208 V: 54.1 and 124.9 A; primary at most 125 A (250 % not rounded up), secondary 175 A.

    Published worked examples of NEC Table 450.3(B); primary alone 70 A (125 %, next size up).
    """
    case = TransformerCase(
        edition="2023",
        system="3-phase",
        kva=45,
        primary_v=480,
        secondary_v=208,
        primary_a=125,
        secondary_a=175,
    )
    found = check_transformer(case)
    assert found.primary_full_a == pytest.approx(54.1, abs=0.05)
    assert found.secondary_full_a == pytest.approx(124.9, abs=0.05)
    assert (found.primary_limit_a, found.secondary_limit_a) == (125, 175)
    assert all(c.passes for c in found.checks)
    # a public text rounds 135 up to 150 A: wrong
    assert check_transformer(replace(case, primary_a=150)).checks[0].verdict is Verdict.FAILS
    assert check_transformer(replace(case, primary_a=70, secondary_a=None)).primary_limit_a == 70


def test_25_kva_single_phase():
    """480 V: 52.08 A ("52 A" in a published example); 240 V: 104.17 A, 125 % to 150 A."""
    found = check_transformer(
        TransformerCase(
            edition="2023",
            system="1-phase",
            kva=25,
            primary_v=480,
            secondary_v=240,
            primary_a=70,
            secondary_a=150,
        )
    )
    assert found.primary_full_a == pytest.approx(52.08, abs=0.01)
    assert found.secondary_limit_a == 150


def test_small_transformers_have_limits_of_their_own():
    """NEC Table 450.3(B): 167 % under 9 A, 300 % under 2 A, without rounding up."""
    small = check_transformer(
        TransformerCase(
            edition="2023", system="1-phase", kva=1.5, primary_v=480, secondary_v=120, primary_a=5
        )
    )
    assert small.primary_limit_a == pytest.approx(1.67 * 3.125)
    tiny = check_transformer(
        TransformerCase(
            edition="2023", system="1-phase", kva=0.5, primary_v=480, secondary_v=120, primary_a=3
        )
    )
    assert tiny.primary_limit_a == pytest.approx(3 * 500 / 480)


def test_a_service_whose_rating_is_not_given_is_never_its_main():
    case = replace(FAR, connection="supply side", source_breakers_a=60.0, tap_ft=9.0)
    check = check_panel(case).checks[0]
    assert check.verdict is Verdict.NOT_CHECKED and "rating of the service" in check.note


def test_the_panel_takes_the_declared_ranges():
    """The rating of the service and the breakers of sources stand in the figures, once."""
    supply = replace(FAR, connection="supply side", service_a=200.0, source_breakers_a=60.0)
    for change, most in (({"service_a": 4001.0}, "4000"), ({"source_breakers_a": 6001.0}, "6000")):
        with pytest.raises(InputError, match=f"at most {most} A"):
            check_panel(replace(supply, **change))
