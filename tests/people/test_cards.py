"""A card or an inspection counts with its number, or its file, and who recorded it; else nowhere.

Common practice, no source: who asks for a card asks for its number, and of whom it was seen.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.urls import reverse

from crew.plan.facts import people_facts
from installs.equipment.models import EquipmentRecord, Wrench
from tests.make import AT, a_photo, alma, make_card, make_person

pytestmark = pytest.mark.django_db
DAY = date(2031, 5, 29)
LATER = date(2032, 5, 29)


def test_with_number_and_recorder_it_counts() -> None:
    assert make_card(make_person(), "rigger", LATER).valid_on(DAY)


@pytest.mark.parametrize(
    "fields, lacks",
    [
        ({"number": ""}, "no number on record"),
        ({"recorded_by": None, "recorded_at": None}, "no word of who recorded it"),
    ],
)
def test_without_either_it_counts_on_no_day(fields, lacks) -> None:
    card = make_card(make_person(), "rigger", LATER, **fields)
    assert (card.valid_on(DAY), card.lacks) == (False, lacks)


def test_its_file_stands_for_its_number() -> None:
    by = alma()
    assert make_card(by, "rigger", LATER, number="", file=a_photo(by)).valid_on(DAY)


def test_one_carried_over_counts_until_it_expires_and_is_said_as_such(client) -> None:
    ben = make_person()
    old = {"number": "", "recorded_by": None, "recorded_at": None, "carried_over": True}
    card = make_card(ben, "rigger", DAY, **old)
    assert card.valid_on(DAY) and not card.valid_on(DAY + timedelta(1))
    client.force_login(alma())
    assert "1 card carried over" in " ".join(client.get(reverse("people")).content.decode().split())
    assert b"carried over, nobody" in client.get(reverse("person", args=[ben.pk])).content


def test_a_calibration_without_its_number_does_not_count_and_an_older_one_with_it_does() -> None:
    tool = Wrench.objects.create(serial="W-7", name="click wrench", low_ft_lb=50, high_ft_lb=250)
    of = {"wrench": tool, "recorded_by": alma(), "recorded_at": AT}
    bare = EquipmentRecord.objects.create(**of, done_on=date(2031, 5, 1), expires_on=LATER)
    assert tool.standing(DAY).words == "calibration of May 1, 2031 has no number on record"
    EquipmentRecord.objects.create(**of, done_on=date(2030, 6, 1), expires_on=DAY, reference="C-4471")
    assert tool.valid_on(DAY) and not tool.valid_on(DAY + timedelta(1))
    EquipmentRecord.objects.filter(pk=bare.pk).update(carried_over=True)
    assert "carried over without a number" in tool.standing(LATER).words


def test_the_planner_names_what_the_card_of_a_skill_lacks() -> None:
    nadia = make_person("Nadia Brandt", "electrician")
    make_card(nadia, "electrician", LATER, number="")
    known = people_facts()[nadia.pk]
    assert (known.certificates, known.lacking) == ((), (("electrician", "no number on record"),))
