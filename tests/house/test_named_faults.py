"""What is wrong in a form is said at its field, and named at the head of the page with a link to it."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse

from tests.make import as_drawn

pytestmark = pytest.mark.django_db


def named(page: str) -> dict[str, str]:
    """By the id that its link leads to, what the head of the page says."""
    [box] = re.findall(r'<div class="said faults-named" role="alert">(.*?)</div>', page, re.DOTALL)
    return dict(re.findall(r'<li><a href="#([^"]+)">[^<]+</a>: ([^<]+)</li>', box))


@pytest.mark.parametrize(
    ("page", "typed", "wrong"),
    [
        ("permit-add", {"kind": "building", "asked_on": "the third"}, {"id_asked_of", "id_asked_on"}),
        ("job-edit", {"save": "", "owner": "", "number": "2031-001"}, {"id_owner"}),
    ],
)
def test_every_fault_is_named_with_a_link_to_its_field(job, at_the_desk, page, typed, wrong) -> None:
    url = reverse(page, args=[job.number])
    answer = at_the_desk.post(url, {**typed, **as_drawn(at_the_desk, url)})
    said, html = named(answer.content.decode()), answer.content.decode()
    assert answer.status_code == 422
    assert wrong <= set(said)
    for where, words in said.items():
        assert f'id="{where}"' in html  # the link leads somewhere
        assert html.count(words) >= 2  # and there it is said too


def test_a_page_without_a_fault_names_none(job, at_the_desk) -> None:
    page = at_the_desk.get(reverse("permit-add", args=[job.number])).content.decode()
    assert "faults-named" not in page
