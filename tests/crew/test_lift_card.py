"""The lift card on the phone: nothing is shown as a card that no release stands behind."""

from __future__ import annotations

import pytest
from django.urls import reverse

from tests.make import alma, make_job

pytestmark = pytest.mark.django_db


def test_without_a_released_plan_there_is_no_card(client):
    client.force_login(alma())
    page = client.get(reverse("lift-card", args=[make_job().number, "tower"])).content.decode()
    assert "No lift plan is released" in page and "Closed" in page


def test_there_are_two_lifts(client):
    client.force_login(alma())
    assert client.get(reverse("lift-card", args=[make_job().number, "hub"])).status_code == 404
