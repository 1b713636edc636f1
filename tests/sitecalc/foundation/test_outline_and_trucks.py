"""Octagon and round pads from above; concrete by the plant's step and by truck."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sitecalc.foundation.outline import area_ft2, chord, girth_ft
from sitecalc.foundation.take_off import (
    WASTE,
    ConcreteCase,
    DeliveryCase,
    concrete,
    delivery,
    loads_yd3,
    order_yd3,
)
from sitecalc.inputs import InputError


def test_an_octagon_is_its_square_less_four_corners() -> None:
    """Closed form: a regular octagon 20 ft across flats; the corners cut off are right triangles."""
    corner = 20 / (2 + math.sqrt(2))
    assert area_ft2("octagon", 20, 20) == pytest.approx(400 - 4 * corner**2 / 2)
    assert girth_ft("octagon", 20, 20) == pytest.approx(8 * 20 / (1 + math.sqrt(2)))
    assert chord("octagon", 20, 20, 10) == pytest.approx(20 / (1 + math.sqrt(2)))
    assert chord("octagon", 20, 20, 0) == 20


@pytest.mark.parametrize("outline", ["octagon", "circle"])
def test_chords_add_up_to_the_area(outline) -> None:
    """Cavalieri: the area is the sum of its chords."""
    n = 20_000
    offs = (20 * ((i + 0.5) / n - 0.5) for i in range(n))
    assert sum(chord(outline, 20, 20, y) for y in offs) * 20 / n == pytest.approx(
        area_ft2(outline, 20, 20), rel=1e-5
    )


def test_a_round_pad_takes_pi_over_four_of_the_square_one() -> None:
    square, circle = (
        concrete(ConcreteCase(side_ft=16, thickness_ft=3, outline=o)) for o in ("rectangle", "circle")
    )
    assert circle.volume_ft3 == pytest.approx(math.pi / 4 * square.volume_ft3)
    assert circle.form_ft2 == pytest.approx(math.pi * 16 * 3)


def test_the_published_example_is_ordered_up_not_down() -> None:
    """US Navy Engineering Aid Basic (NAVEDTRA 14070), estimating example: 527.40 ft3 with 10 % waste is
    580.14 ft3, 21.49 yd3. The manual writes "21 cu yd", which leaves the form half a yard short."""
    assert order_yd3(527.40, 10, 1.0) == 22.0
    found = delivery(DeliveryCase(volume_ft3=527.40, waste="small or uneven", step_yd3=1.0))
    assert found.order_yd3 == 22.0
    assert found.steps[1].value == pytest.approx(580.14 / 27, abs=0.005)


def test_pads_ordered_by_different_steps() -> None:
    """900 ft3 with 5 % is exactly 35 yd3; 905 ft3 is 35.19."""
    assert [order_yd3(900, 5, step) for step in (0.25, 0.5, 1.0)] == [35.0, 35.0, 35.0]
    assert [order_yd3(905, 5, step) for step in (0.25, 0.5, 1.0)] == [35.25, 35.5, 36.0]


@given(
    volume=st.floats(1, 20000),
    waste=st.floats(0, 25),
    step=st.sampled_from([0.25, 0.5, 1.0]),
    truck=st.floats(1, 12),
)
@settings(deadline=None)
def test_what_is_ordered_covers_the_pad_and_rides_in_the_trucks(volume, waste, step, truck) -> None:
    found = delivery(DeliveryCase(volume_ft3=volume, waste_pct=waste, step_yd3=step, truck_yd3=truck))
    wanted = volume / 27 * (1 + waste / 100)
    assert wanted - 1e-5 <= found.order_yd3 < wanted + step + 1e-5
    assert sum(found.loads_yd3) == pytest.approx(found.order_yd3)
    assert max(found.loads_yd3) <= truck + 1e-9


def test_a_last_truck_is_no_sliver() -> None:
    """Common practice, no source: 29 yd3 in 9.5 yd3 trucks would leave half a yard for the fourth."""
    assert loads_yd3(29.0, 9.5) == (9.5, 9.5, 5.0, 5.0)
    assert loads_yd3(35.0, 9.5) == (9.5, 9.5, 9.5, 6.5)
    assert loads_yd3(2.0, 9.5) == (2.0,)
    assert loads_yd3(19.0, 9.5) == (9.5, 9.5)


@given(
    steps=st.integers(1, 800),
    step=st.sampled_from([0.25, 0.5, 1.0]),
    truck=st.floats(1, 12),
    least=st.floats(0, 12),
)
@settings(deadline=None)
def test_the_loads_make_up_the_order(steps, step, truck, least) -> None:
    order = steps * step
    found = loads_yd3(order, truck, step, least)
    assert sum(found) == pytest.approx(order)
    assert all(0 < load <= truck + 1e-6 for load in found)
    assert len(found) == math.ceil(steps / math.floor(truck / step + 1e-9))


def test_a_step_larger_than_the_truck_is_refused() -> None:
    with pytest.raises(InputError) as caught:
        loads_yd3(10.0, 0.5, 1.0)
    assert caught.value.field == "step_yd3"


def test_every_allowance_names_its_source() -> None:
    assert all(rule.source for rule in WASTE.values())
