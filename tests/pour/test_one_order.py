"""One job has one order: the same yards in the same trucks wherever they are said."""

from __future__ import annotations

from datetime import timedelta

import pytest

from installs.materials.gathering import as_csv, part_lists
from installs.pour.materials import lines
from installs.pour.models import PourDesign
from installs.pour.pour_day import pour_day
from installs.pour.record_words import load_record
from installs.pour.terms import terms_of
from tests.foundation.make_foundation import make_foundation
from tests.make import make_job, make_release
from tests.pour.conftest import POUR

pytestmark = pytest.mark.django_db


def test_page_order_phone_and_material_list_say_the_same(client, job, released, office):
    """16.5 ft square, 3.5 ft deep: 35.29 yd3, 37.06 with 5 %, up to 37.5; 9.5 yd3 to a truck."""
    record = load_record(job, POUR - timedelta(days=3))
    assert "Order 37.5 yd³" in record.order_words
    assert "4 trucks of 9.5, 9.5, 9.5, 9 yd³" in record.order_words
    assert "37.5 yd3 in 4 trucks of 9.5, 9.5, 9.5, 9;" in "\n".join(pour_day(job, record).order)
    line = lines(released)[0]
    assert (line.order, line.detail) == (37.5, "4,500 psi, 4 trucks of 9.5, 9.5, 9.5, 9 yd3")
    job.revisions.filter(part="foundation").delete()  # this room's is hollow: no bars to list
    concrete = [row for row in as_csv(job, part_lists(job)).splitlines() if ",Concrete," in row]
    assert len(concrete) == 1
    assert ",37.5,yd3,Pour A" in concrete[0]


def test_the_plants_step_and_a_sliver_are_in_every_order(job, draft):
    """Common practice, no source: 35.29 yd3 and 2.7 % by the quarter yard are 36.25; 12 yd3 trucks would
    leave a quarter yard for the fourth, so the last two go half full."""
    draft.change(waste_pct=2.7, order_step_yd3=0.25, truck_yd3=12.0)
    assert terms_of(draft.inputs()).order().loads_yd3 == (12.0, 12.0, 6.25, 6.0)


def test_the_foundations_page_says_what_the_pad_takes_and_where_its_order_stands(client, office):
    job = make_job(by=office)
    make_foundation(job)
    PourDesign.objects.create(job=job, fc_psi=4500.0, truck_yd3=8.0)
    client.force_login(office)
    text = client.get(f"/jobs/{job.number}/foundation/").content.decode()
    assert "Yards to order and trucks: see" in text
    assert "truck" not in text.replace("Yards to order and trucks", "").lower()


def test_a_pour_whose_foundation_was_released_anew_orders_nothing_anywhere(job, released, office):
    """The next letter of the foundation has a thicker pad: whoever reads the old yards pours too little."""
    before, at = job.revisions.get(part="foundation"), POUR - timedelta(days=4)
    thicker = {**before.inputs, "thickness_ft": before.inputs["thickness_ft"] + 1.0}
    make_release(job, "foundation", letter="C", by=office, at=at, checks=before.checks, inputs=thicker)
    record = load_record(job, POUR - timedelta(days=3))
    assert record.void and "Order 37.5" not in record.order_words
    assert record.order_words == record.to_come == pour_day(job, record).order[0]
    assert record.order_words.startswith("NO ORDER. Pour A stands on foundation B")
