"""Over the line goes what changed: whatever a page shows, the answer makes it show the rows as they are."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from installs.checklists.live_rows import Row, carried, changes
from installs.jobs.services import change_job, open_deviation
from tests.make import alma, make_job

ROW = re.compile(r'<tr id="([^"]+)" data-row="[^"]+"(?: hx-swap-oob="true")?>(.*?)</tr>')
contents = st.dictionaries(st.integers(1, 12), st.sampled_from("abc"), max_size=12)
orders = st.tuples(contents, st.randoms(use_true_random=False))


def rows_of(order) -> list[Row]:
    found, shuffled = order
    keys = list(found)
    shuffled.shuffle(keys)
    return [Row(f"job-{key}", f"<td>{found[key]}</td>") for key in keys]


def put(page: list[tuple[str, str]], answer: str) -> list[tuple[str, str]]:
    """What htmx makes of the page's rows: each template in turn, by its attribute."""
    for step in re.findall(r"<template>(.*?)</template>", answer):
        how = re.search(r'hx-swap-oob="([^"]+)"', step)[1]
        new, at = ROW.findall(step), [key for key, _ in page]
        if how == "delete":
            page.pop(at.index(re.search(r'id="([^"]+)"', step)[1]))
        elif how == "true":
            page[at.index(new[0][0])] = new[0]
        elif how.startswith("afterend:#"):
            page[at.index(how.partition("#")[2]) + 1 : 0] = new
        elif how.startswith("afterbegin:#"):
            page[0:0] = new
        else:
            raise AssertionError(how)
    return page


@given(orders, orders)
def test_the_answer_makes_any_page_show_the_rows_as_they_are(before, after):
    shown, wanted = rows_of(before), rows_of(after)
    answer = changes(wanted, [(row.key, row.digest) for row in shown], "job-rows", "all anew")
    if answer != "all anew":
        assert put([(r.key, r.inside) for r in shown], answer) == [(r.key, r.inside) for r in wanted]


@given(orders)
def test_of_rows_that_did_not_change_nothing_is_sent(order):
    rows = rows_of(order)
    if rows:
        assert changes(rows, [(row.key, row.digest) for row in rows], "job-rows", "all anew") == ""


@pytest.mark.parametrize("text", ["", "job-1", "job-1_", "job-1_xyz", "<tr>_00000000", "job-1_0000000g", "."])
def test_what_a_page_carries_is_read_or_left(text):
    assert carried(text, "job") == []
    assert carried(f"{text}.job-7_0123abcd.day-7_0123abcd", "job") == [("job-7", "0123abcd")]


@pytest.fixture
def office(client):
    person = alma()
    client.force_login(person)
    return person


def shown_by(page: str) -> str:
    """What the page's script sends along: id and digest of each row."""
    found = re.findall(r'id="([a-z]+-[0-9]+)" data-row="([0-9a-f]+)"', page)
    return ".".join(f"{key}_{digest}" for key, digest in found)


@pytest.mark.django_db
@pytest.mark.parametrize("name", ["look-ahead", "crew-days"])
def test_only_the_row_of_the_job_that_changed_goes_over_the_line(client, office, name):
    now = timezone.now()
    jobs = [make_job(by=office, at=now, owner=f"Owner {n}") for n in range(6)]
    page = client.get(reverse(name)).content.decode()
    asks = re.search(r'id="live"[^>]* hx-get="([^"]+)"', page)[1].replace("&amp;", "&")
    open_deviation(jobs[2], "frozen edge", "blanket blew off", by=office, at=now)
    change_job(jobs[2], {"owner": "Orrin Renamed"}, by=office, at=timezone.now())
    answer = client.get(asks, {"rows": shown_by(page)}).content.decode()
    assert "Orrin Renamed" in answer and "Owner 3" not in answer
    sent = set(re.findall(r'<(?:tr|g) id="([^"]+)"', answer))
    assert sent == ({f"job-{jobs[2].pk}"} if name == "look-ahead" else set()) | {f"strip-{jobs[2].pk}"}
    assert len(answer) < len(page) / 2
