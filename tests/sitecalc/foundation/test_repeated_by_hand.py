"""What a check prints is enough to work it again: every number of it is on the paper, or follows from one."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from sitecalc.checks import Verdict
from sitecalc.foundation.anchorage import check_anchorage
from sitecalc.foundation.figures import FoundationFigures
from sitecalc.foundation.pad_strength import check_strength
from sitecalc.foundation.stability import check_pad
from sitecalc.foundation.steel import check_steel
from tests.sitecalc.foundation.test_seat_of_the_plates import BEARS, BOLTS, MATS, PAD, of

NUMBER = r"-?[\d,]*\.?\d+"


def step_of(check, symbol):
    return next(step for step in check.steps if step.symbol == symbol)


def polygon_of(step) -> list[tuple[float, float]]:
    pairs = re.findall(rf"\(({NUMBER}), ({NUMBER})\)", step.numbers)
    return [(float(x), float(y)) for x, y in pairs]


def plane_of(step) -> tuple[float, float, float]:
    a, sb, b, sc, c = re.match(rf"({NUMBER}) ([+-]) ({NUMBER}) x ([+-]) ({NUMBER}) y", step.numbers).groups()
    read = [float(n.replace(",", "")) for n in (a, b, c)]
    return read[0], read[1] * (-1 if sb == "-" else 1), read[2] * (-1 if sc == "-" else 1)


def test_the_printed_contact_polygon_carries_the_printed_load() -> None:
    """Statics: the plane over the printed corners adds up to P within the printed figures."""
    bearing = of(check_pad(PAD).checks, "bearing")
    step = step_of(bearing, "q")
    corners, (a, b, c) = np.array(polygon_of(step)), plane_of(step)
    assert len(corners) >= 3
    x, y = corners.T
    x2, y2 = np.roll(x, -1), np.roll(y, -1)
    cross = x * y2 - x2 * y
    area = cross.sum() / 2
    first = ((x + x2) * cross).sum() / 6, ((y + y2) * cross).sum() / 6
    load = (a * area + b * first[0] + c * first[1]) / 1000
    assert load == pytest.approx(step_of(bearing, "P").value, rel=0.01)


@pytest.mark.parametrize("key", ["bending-lower", "one-way shear", "two-way shear"])
def test_every_check_by_the_soils_pressure_prints_that_pressure(key) -> None:
    step = step_of(of(check_strength(BEARS).checks, key), "qu")
    assert len(polygon_of(step)) >= 3


def test_a_round_pad_prints_where_it_lifts_not_its_two_hundred_corners() -> None:
    step = step_of(of(check_pad(replace(PAD, outline="circle")).checks, "bearing"), "q")
    assert len(polygon_of(step)) == 3 and len(step.numbers) < 200


def test_the_layer_is_named_to_which_the_depth_is_taken() -> None:
    said = step_of(of(check_strength(BEARS).checks, "bending-lower"), "d").meaning
    assert re.search("outer layer, bars east to west|inner layer, bars north to south", said)


def test_top_bar_and_hook_factors_say_what_they_stand_for() -> None:
    hooked = replace(BEARS, mats=replace(MATS, ends="90 degree"))
    checks = check_strength(hooked).checks
    said = {s.symbol: s.meaning for s in of(checks, "development-upper").steps}
    assert "psi_t 1.3 (over 12 in" in said["ld"]
    assert all(f"psi_{letter}" in said["ldh"] for letter in "roc")


def test_the_resultant_of_the_pulled_bolts_can_be_worked_again() -> None:
    """e'N from the printed places and forces; e' both ways as psi_ec takes it."""
    found = of(check_anchorage(BOLTS).checks, "anchor-breakout-tension")
    printed = step_of(found, "e'N")
    rows = re.findall(rf"\(({NUMBER}), ({NUMBER})\) ({NUMBER})", printed.numbers)
    x, y, pull = np.array([[float(n) for n in row] for row in rows]).T
    off = [abs((pull * at).sum() / pull.sum() - at.mean()) for at in (x, y)]
    assert math.hypot(*off) == pytest.approx(printed.value, abs=0.02)


@pytest.mark.parametrize("legs", [1, 3, 4])
def test_the_force_of_a_leg_is_worked_on_the_paper(legs) -> None:
    layout = replace(
        BOLTS.layout, legs=legs, bolts=8 if legs == 1 else 4, spacing_ft=3.0 if legs == 1 else 8.0
    )
    found = of(check_anchorage(replace(BOLTS, layout=layout, prying=1.2)).checks, "anchor-steel-tension")
    assert step_of(found, "Nua").value == pytest.approx(found.demand)
    assert "M" in step_of(found, "N").formula


def test_an_edge_distance_that_is_cut_down_says_so() -> None:
    """17.7.2.1.2: side edges and depth nearer than 1.5 ca1."""
    slim = replace(
        BOLTS, pedestals="one under all", pedestal_side_ft=13.0, pedestal_height_ft=1.0, side_ft=16.0
    )
    ca1 = step_of(of(check_anchorage(slim).checks, "anchor-breakout-shear"), "ca1")
    assert "17.7.2.1.2" in ca1.meaning and "min(" in ca1.formula


def test_the_mats_of_a_new_layout_lie_at_their_least_cover() -> None:
    """ACI 318-19, table 20.5.1.3.1: 3 in cast against earth, 2 in of #6 and up open to the weather."""
    new = FoundationFigures()
    mats = replace(MATS, size="#6", cover_lower_in=new.cover_lower_in, cover_upper_in=new.cover_upper_in)
    cover = of(check_steel(mats).checks, "cover")
    assert cover.passes and cover.ratio == 1.0


def test_steel_a_foot_inside_the_pad_is_not_near_its_face() -> None:
    deep = replace(BEARS, mats=replace(MATS, cover_lower_in=12.0))
    assert of(check_strength(BEARS).checks, "minimum-lower").verdict is Verdict.PASSES
    far = of(check_strength(deep).checks, "minimum-lower")
    assert far.verdict is Verdict.FAILS and "inside the tension face" in far.note
