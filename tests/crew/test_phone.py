"""The phone's pages: one entry a form, second look out of tolerance, corrections beside the corrected."""

from __future__ import annotations

import uuid

import pytest

from tests.make import make_person

pytestmark = pytest.mark.django_db


@pytest.fixture
def ben(client):
    person = make_person()
    client.force_login(person)
    return person


def post(client, job, key="forming", **fields):
    return client.post(f"/day/{job.number}/list/{key}/", {"uuid": str(uuid.uuid4()), **fields})


def test_a_tick_is_one_press(client, job):
    assert post(client, job, code="C07").status_code == 302
    assert job.entries.get().code == "C07"


def test_the_same_form_sent_twice_is_one_entry(client, job):
    form = {"uuid": str(uuid.uuid4()), "code": "C07"}
    url = f"/day/{job.number}/list/forming/"
    client.post(url, form)
    assert client.post(url, form).status_code in (302, 422)
    assert job.entries.count() == 1


def test_a_reading_out_of_tolerance_asks_for_a_second_look_and_a_note(client, job):
    first = post(client, job, code="C10", subject="leg A", number="0.25")
    assert first.status_code == 422
    assert b"Check it again" in first.content
    assert not job.entries.exists()
    second = post(
        client, job, code="C10", subject="leg A", number="0.25", second_look="on", text="template bent"
    )
    assert second.status_code == 302
    kept = job.entries.get()
    assert (kept.number, kept.text, kept.data) == (0.25, "template bent", {"out_of_tolerance": True})


@pytest.mark.parametrize("number", ["", "nan", "inf", "six", "1e999", "4,5,6x", "9" * 60])
def test_what_is_no_number_is_said_at_its_field(client, job, number):
    response = post(client, job, code="C02", number=number)
    assert response.status_code == 422
    assert b"errorlist" in response.content
    assert not job.entries.exists()


def test_a_repeated_item_asks_which(client, job):
    response = post(client, job, code="C10", number="0.05")
    assert response.status_code == 422
    assert b"Which leg" in response.content


def test_not_done_is_recorded_with_its_reason_and_does_not_complete(client, job):
    post(client, job, code="C07", cannot="no caps on site")
    kept = job.entries.get()
    assert (kept.data, kept.text) == ({"cannot": True}, "no caps on site")
    assert b"0 of 15 done" in client.get(f"/day/{job.number}/list/forming/").content


def test_a_correction_is_shown_beside_what_it_corrects(client, job):
    post(client, job, code="C02", number="9")
    wrong = job.entries.get()
    post(client, job, code="C02", number="8.5", corrects=str(wrong.uuid))
    page = client.get(f"/day/{job.number}/list/forming/").content.decode()
    assert "<s> 9 in </s>" in page
    assert "8.5 in" in page


def test_a_photo_that_is_none_is_said_at_its_field(client, job):
    from django.core.files.uploadedfile import SimpleUploadedFile

    response = post(client, job, code="C09", text="B7", photo=SimpleUploadedFile("a.jpg", b"no picture"))
    assert response.status_code == 422
    assert b"not a picture" in response.content
    assert not job.entries.exists()


def test_the_day_sheet_and_every_list_open_for_the_crew(client, job):
    assert client.get("/day/").status_code == 200
    for kept in job.lists.all():
        assert client.get(f"/day/{job.number}/list/{kept.key}/").status_code == 200
        assert client.get(f"/jobs/{job.number}/checklists/{kept.key}/?paper").status_code == 200


def test_starting_through_a_closed_gate_is_refused_with_its_sentence(client, job):
    response = client.post(f"/day/{job.number}/phase/excavation/", {"do": "start"}, follow=True)
    assert b"building permit not requested" in response.content
    assert not job.phases.exists()
