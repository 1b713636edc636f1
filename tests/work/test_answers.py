"""What holds of every answer: HEAD is GET without a body, and what a person was shown is kept by nobody."""

from __future__ import annotations

import pytest
from django.test import Client

from tests.make import alma, make_job
from tests.people.test_access import PUBLIC, VIEWS, url_for

pytestmark = pytest.mark.django_db


def addresses(number: str) -> list[tuple[str, str]]:
    return [(name, url_for(name, route, number)) for name, route, _ in VIEWS]


@pytest.mark.parametrize("signed_in", [True, False])
def test_head_answers_what_get_does_without_its_body(client: Client, signed_in: bool) -> None:
    """RFC 9110, section 9.3.2."""
    office = alma()
    job = make_job(by=office)
    if signed_in:
        client.force_login(office)
    for name, url in addresses(job.number):
        get, head = client.get(url), client.head(url)
        assert head.status_code == get.status_code, name
        assert head.headers.get("Content-Type") == get.headers.get("Content-Type"), name
        assert not head.getvalue(), name


def test_what_a_person_was_shown_is_kept_by_no_browser(client: Client) -> None:
    """RFC 9111, section 5.2.2.5: pages, files and refusals alike."""
    office = alma()
    job = make_job(by=office)
    client.force_login(office)
    for name, url in addresses(job.number):
        if name not in PUBLIC:
            assert "no-store" in client.get(url).headers.get("Cache-Control", ""), name
