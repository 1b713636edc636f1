"""Octagon, round and pedestal pads on the page: what is drawn, listed and refused."""

from __future__ import annotations

import math
import re

import pytest
from django.urls import reverse

from installs.foundation.bars import plan_of, stock_lengths
from installs.foundation.bent import shapes_svg
from installs.foundation.drawing import draw
from installs.foundation.models import FoundationDesign
from installs.foundation.review import review
from sitecalc.inputs import InputError
from tests.foundation.make_foundation import FIGURES, make_foundation, release
from tests.make import make_person

pytestmark = pytest.mark.django_db


def unsaved(job, **other):
    """One job has one draft; a second one is only looked at."""
    return FoundationDesign(job=job, **{**FIGURES, **other})


def test_an_octagon_holds_less_concrete_than_its_square(job):
    """Area of a regular octagon across flats: 2 (sqrt 2 - 1) d^2 (any geometry table)."""
    facts = review(unsaved(job, outline="octagon", side_ft=18.0, thickness_ft=3.0)).results
    assert facts.volume_ft3 == pytest.approx(2 * (math.sqrt(2) - 1) * 18**2 * 3)


def test_the_pedestal_is_poured_too(job):
    plain = review(unsaved(job)).results.volume_ft3
    stands = {"pedestal": "square", "pedestal_side_ft": 9.5, "pedestal_height_ft": 2.0}
    assert review(unsaved(job, **stands)).results.volume_ft3 == pytest.approx(plain + 9.5**2 * 2)


def test_a_pedestal_without_its_size_is_refused_at_the_field(job):
    with pytest.raises(InputError) as refused:
        review(unsaved(job, pedestal="round", pedestal_side_ft=10.0))
    assert refused.value.field == "pedestal_height_ft"


def test_base_plates_must_stand_on_the_pedestal(job):
    stands = {"pedestal": "square", "pedestal_side_ft": 3.0, "pedestal_height_ft": 2.0}
    with pytest.raises(InputError) as refused:
        review(unsaved(job, **stands))
    assert refused.value.field == "pedestal_side_ft"


@pytest.mark.parametrize("outline", ["rectangle", "octagon", "circle"])
@pytest.mark.parametrize("ends", ["straight", "90 degree", "180 degree"])
def test_every_shape_is_drawn_with_its_bars(job, outline, ends):
    found = review(unsaved(job, outline=outline, bar_ends=ends, edge_bar_size="#5"))
    svg = draw(unsaved(job, outline=outline, bar_ends=ends), found)["pad"]
    assert "NaN" not in svg and "Section A-A" in svg
    shown = shapes_svg(found.results.marks)
    # the shape drawing names every mark of the list
    assert all(re.search(rf"\b{mark.mark}\b", shown) for mark in found.results.marks)


def test_every_piece_is_cut_and_no_stock_bar_is_overfilled(job):
    facts = review(unsaved(job, outline="octagon", bar_ends="90 degree")).results
    plan = plan_of(facts, (40.0, 60.0))
    cut = {}
    for bar in plan.bars:
        assert sum(c.length_in * c.count for c in bar.cuts) <= bar.stock_ft * 12 + 1e-6
        for c in bar.cuts:
            cut[c.mark] = cut.get(c.mark, 0) + c.count * bar.times
    assert cut == {m.mark: m.count * m.pieces for m in facts.marks}


def test_stock_that_is_asked_for_badly_is_all_stock():
    assert stock_lengths(["nonsense", "1e9"]) == stock_lengths([]) == (20.0, 40.0, 60.0)
    assert stock_lengths(["40"]) == (40.0,)
    assert stock_lengths([], 40.0) == (20.0, 40.0) and stock_lengths([], 15.0) == (15.0,)


def test_the_bars_page_says_which_design_it_lists(at_the_desk, job):
    release(make_foundation(job), make_person("Rhoda Kell", "engineer"))
    page = at_the_desk.get(reverse("foundation-bars", args=[job.number]), {"stock": ["60"]})
    text = page.content.decode()
    assert "Foundation release A" in text and "60 ft" in text and "No plan needs less than" in text


def test_a_bar_longer_than_the_stock_is_said(at_the_desk, job):
    make_foundation(job, side_ft=24.0, stock_ft=40.0)
    page = at_the_desk.get(reverse("foundation-bars", args=[job.number]), {"stock": ["20"]})
    assert page.status_code == 200 and "fault" in page.content.decode()
