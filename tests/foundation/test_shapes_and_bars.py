"""Octagon, round and pedestal pads on the page: what is drawn, listed and refused."""

from __future__ import annotations

import math
import re

import pytest
from django.urls import reverse

from installs.foundation.bars import case_of, plan_of, stock_lengths
from installs.foundation.bent import shapes_svg
from installs.foundation.drawing import draw
from installs.foundation.models import FoundationDesign
from installs.foundation.review import review
from installs.work.runner import work_one
from sitecalc.foundation.cutting import cutting_plan
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


def bars_page(client, job, **asked):
    return client.get(reverse("foundation-bars", args=[job.number]), asked).content.decode()


def test_the_bars_page_says_which_design_it_lists(at_the_desk, job):
    release(make_foundation(job), make_person("Rhoda Kell", "engineer"))
    waits = bars_page(at_the_desk, job, stock=["60"])
    assert "Foundation release A" in waits and "is being worked out" in waits
    assert work_one("papers")
    text = bars_page(at_the_desk, job, stock=["60"])
    assert "60 ft" in text and "No plan needs less than" in text and "being worked out" not in text


def test_a_bar_longer_than_the_stock_is_said(at_the_desk, job):
    make_foundation(job, side_ft=24.0, stock_ft=40.0)
    bars_page(at_the_desk, job, stock=["20"])
    assert work_one("papers")
    text = bars_page(at_the_desk, job, stock=["20"])
    assert "fault" in text and "too short for a piece" in text


def test_the_same_bars_and_stock_are_cut_once_for_whoever_asks(at_the_desk, job):
    make_foundation(job)
    for _ in range(3):
        bars_page(at_the_desk, job)
    bars_page(at_the_desk, job, stock=["60"])
    assert [work_one("papers") for _ in range(3)] == [True, True, False]


def test_the_page_that_waits_for_the_plan_is_given_it(at_the_desk, job):
    facts = review(make_foundation(job)).results
    asks = re.search(r'id="cutting"\s+hx-get="([^"]+)"', bars_page(at_the_desk, job))[1]
    assert "being worked out" in at_the_desk.get(asks).content.decode()
    work_one("papers")
    answer = at_the_desk.get(asks).content.decode()
    assert "How to cut" in answer and "hx-get" not in answer
    kept, at_once = plan_of(facts), cutting_plan(case_of(facts))
    assert kept == at_once
    assert at_the_desk.get(asks.replace("cutting/", "cutting/0")).status_code == 404


def test_a_plan_that_a_worker_could_not_do_says_so_and_can_be_asked_again(at_the_desk, job, monkeypatch):
    make_foundation(job)
    bars_page(at_the_desk, job)
    with monkeypatch.context() as broken:
        broken.setattr("installs.foundation.kinds.cutting_plan", lambda case: 1 / 0)
        work_one("papers")
    text = bars_page(at_the_desk, job)
    assert "fault" in text and "Work it out again" in text
    at_the_desk.post(reverse("foundation-bars", args=[job.number]))
    work_one("papers")
    assert "How to cut" in bars_page(at_the_desk, job)
