"""Figures that a page offers fill the form and save nothing; a table gets another line without a fault."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from installs.jobs.catalogue import CatalogueRow
from installs.jobs.parts import TABLE
from installs.kits.services import save_to_catalogue
from tests.house.page_forms import PageForm, forms_of
from tests.jobs.test_standing import Season
from tests.make import make_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def season() -> Season:
    return Season()


def signed_in(season: Season) -> Client:
    client = Client()
    client.force_login(season.cast["alma"])
    return client


def schedule(answer: Any, page: str) -> PageForm:
    forms = forms_of(answer.content.decode(), page)
    return next(f for f in forms if ("do", "keep") in f.buttons)


def test_take_these_fills_the_schedule_and_keeps_what_else_was_typed(season: Season) -> None:
    client, page = signed_in(season), reverse("foundation", args=[season.job.number])
    season.change("foundation", side_ft=12.0, thickness_ft=4.0)
    before = season.draft("foundation").value
    form = schedule(client.get(page), page)
    typed = {**form.filled(), "projection_in": "8", "take": "least-concrete"}
    answer = client.post(page, typed)
    assert answer.status_code == 200 and season.draft("foundation").value == before
    filled = schedule(answer, page).filled()
    assert float(filled["side_ft"][0]) > 12.0 and filled["projection_in"] == ["8"]
    assert filled["note-side_ft"] == ["least concrete that passes"]
    assert "Save it before it can be released" in " ".join(answer.content.decode().split())
    kept = client.post(page, {**filled, "do": "keep"})
    assert kept.status_code == 302 and season.draft("foundation").figures.projection_in == 8.0


def test_what_is_taken_passes_where_what_stood_failed(season: Season) -> None:
    """The offered pad is worked out again by the part's own review, not believed."""
    client, page = signed_in(season), reverse("foundation", args=[season.job.number])
    season.change("foundation", side_ft=12.0, thickness_ft=4.0)
    review = TABLE["foundation"].review
    assert [c.key for c in review(season.draft("foundation")).checks if c.verdict.value == "fails"]
    form = schedule(client.get(page), page)
    filled = schedule(client.post(page, {**form.filled(), "take": "least-concrete"}), page).filled()
    client.post(page, {**filled, "do": "keep"})
    draft = season.draft("foundation")
    failing = [c.key for c in review(draft).checks if c.verdict.value == "fails"]
    assert [key for key in failing if not key.startswith("anchor")] == [], failing


def test_a_tower_of_the_catalogue_fills_its_tables(season: Season) -> None:
    row = save_to_catalogue(season.draft("tower"), "tower", "L-100", by=season.cast["alma"], at=season.now)
    job = make_job(by=season.cast["alma"])
    client, page = signed_in(season), reverse("tower", args=[job.number])
    form = schedule(client.get(page), page)
    answer = client.post(page, {**form.filled(), "row": f"row-{row.pk}", "take": "row"})
    assert answer.status_code == 200 and TABLE["tower"].draft_of(job).pk is None
    filled = schedule(answer, page).filled()
    assert filled["note-moment_kip_ft"] == ["catalogue: L-100"]
    assert client.post(page, {**filled, "do": "keep"}).status_code == 302
    draft, theirs = TABLE["tower"].draft_of(job), season.draft("tower")
    assert draft.value["sections"] == theirs.value["sections"]
    assert draft.value["joints"] == theirs.value["joints"]
    assert draft.value["wind_mph"] is None  # of the site, no maker's


def test_an_archived_row_is_offered_no_more_and_taken_back_is_again(season: Season) -> None:
    row = save_to_catalogue(season.draft("tower"), "tower", "L-100", by=season.cast["alma"], at=season.now)
    client, page = signed_in(season), reverse("tower", args=[season.job.number])
    assert b"Tower L-100" in client.get(page).content
    CatalogueRow.objects.filter(pk=row.pk).update(archived_on=season.now.date())
    assert b"Tower L-100" not in client.get(page).content
    form = schedule(client.get(page), page)
    answer = client.post(page, {**form.filled(), "row": f"row-{row.pk}", "take": "row"})
    assert answer.status_code == 422 and b"nothing of that name to take" in answer.content


def test_one_more_line_keeps_what_was_typed_says_no_fault_and_saves_nothing(season: Season) -> None:
    job = make_job(by=season.cast["alma"])
    client, page = signed_in(season), reverse("tower", args=[job.number])
    form = schedule(client.get(page), page)
    lines = sum(name.startswith("sections-") and name.endswith("-length_ft") for name in form.names)
    half = {**form.filled(), "sections-0-length_ft": "20", "moment_kip_ft": "many", "more": "sections"}
    answer = client.post(page, half)
    assert answer.status_code == 200 and b"faults-named" not in answer.content
    again = schedule(answer, page)
    more = sum(name.startswith("sections-") and name.endswith("-length_ft") for name in again.names)
    joints = [sum(n.startswith("joints-") for n in each.names) for each in (form, again)]
    assert (more, joints[1]) == (lines + 1, joints[0])
    assert again.filled()["sections-0-length_ft"] == ["20"]
    assert again.filled()["moment_kip_ft"] == ["many"] and TABLE["tower"].draft_of(job).pk is None


def test_a_redraw_by_the_pages_script_takes_nothing(season: Season) -> None:
    client, page = signed_in(season), reverse("foundation", args=[season.job.number])
    form = schedule(client.get(page), page)
    typed = {**form.filled(), "side_ft": "12", "take": "least-concrete", "do": "look"}
    answer = client.post(page, typed, headers={"HX-Request": "true"})
    assert answer.status_code == 200 and season.draft("foundation").figures.side_ft == 16.0
