"""The firm's own page: limits that no lift goes over."""

import pytest
from django.urls import reverse

from installs.people.models import Firm
from tests.make import alma, as_drawn, make_person

FIELDS = {"name": "Plum Erectors", "stop_word": "stop", "critical_percent": "70", "most_percent": "80"}


def test_the_office_sets_the_firms_limits(client, db) -> None:
    client.force_login(alma())
    read = as_drawn(client, reverse("firm"))
    assert client.post(reverse("firm"), {**FIELDS, **read}).status_code == 302
    assert (Firm.objects.get().critical_percent, Firm.objects.get().most_percent) == (70, 80)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"critical_percent": "76"}, b"large"),
        ({"most_percent": "101"}, b"large"),
        ({"critical_percent": "75", "most_percent": "60"}, b"under the critical"),
        ({"most_percent": "nan"}, b"Enter a number"),
    ],
)
def test_a_limit_that_is_none_is_refused_at_its_field(client, db, changes, said: bytes) -> None:
    """29 CFR 1926.751, over 75 % is a critical lift (from memory): a firm is stricter or the same."""
    client.force_login(alma())
    answer = client.post(reverse("firm"), {**FIELDS, **changes, **as_drawn(client, reverse("firm"))})
    assert answer.status_code == 422 and said in answer.content
    assert not Firm.objects.exists()


def test_nobody_else_sets_them(client, db) -> None:
    client.force_login(make_person("June Hazel", "foreman"))
    assert client.post(reverse("firm"), FIELDS).status_code == 403
