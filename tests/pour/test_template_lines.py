"""What page and pour card say of the bolts at the template: never more than the record does."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse

from installs.checklists.taking import take_entry
from tests.make import a_photo
from tests.pour.conftest import POUR

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("number", "photo", "said"),
    [
        (0.0, False, "0 in, no photo yet"),
        (0.25, True, "+0.25 in, out of tolerance"),
        (0.25, False, "+0.25 in, out of tolerance"),
        (0.0, True, "0 in"),
    ],
)
def test_a_bolt_without_its_photo_is_open_and_not_out_of_tolerance(
    client, poured, office, foreman, number, photo, said, monkeypatch
) -> None:
    at = POUR + timedelta(hours=6)
    monkeypatch.setattr("installs.pour.views.timezone.now", lambda: at)
    take_entry(
        poured, code="D14", subject="leg A", number=number, by=foreman, received_at=at, taken_at=at,
        photo=a_photo(foreman) if photo else None,
    )  # fmt: skip
    client.force_login(office)
    page = " ".join(client.get(reverse("pour", args=[poured.number])).content.decode().split())
    line = page[page.index('<span class="leg') :].partition("</span>")[0].strip()
    assert line.endswith(f"leg A {said}")
    assert ('class="leg off"' in line) == ("," in said)
