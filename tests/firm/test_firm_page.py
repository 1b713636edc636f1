"""The firm's page: what stands on papers, and its mark."""

from __future__ import annotations

import base64
import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from installs.book.first_steps import firm_steps, job_steps
from installs.papers.gathering import _firm
from installs.people.models import Firm, FirmEvent
from installs.record.files import firms_files
from tests.jobs.test_standing import Season
from tests.make import alma, as_drawn, make_job, make_person

pytestmark = pytest.mark.django_db
TYPED = {
    "name": "Osier Wind",
    "town": "Osier, Juniper County",
    "license_number": "ND 4411",
    "phone": "555-0100",
    "mail": "office@example.com",
    "insurer": "Prairie Mutual",
    "policy": "88-104",
    "insured_to": "2031-12-31",
    "stop_word": "stop",
    "critical_percent": "75",
    "most_percent": "85",
    "save": "",
}


def a_mark() -> SimpleUploadedFile:
    """Clear but for its middle."""
    picture = Image.new("RGBA", (900, 300), (0, 0, 0, 0))
    picture.paste((200, 0, 0, 255), (400, 100, 500, 200))
    picture.save(out := io.BytesIO(), "PNG")
    return SimpleUploadedFile("mark.png", out.getvalue(), "image/png")


@pytest.fixture
def office(client: Client) -> Client:
    client.force_login(alma())
    return client


def test_what_is_kept_there_stands_on_papers_with_the_mark_on_white(office: Client) -> None:
    page = reverse("firm")
    answer = office.post(page, {**as_drawn(office, page), **TYPED, "mark_file": a_mark()})
    assert answer.status_code == 302
    frozen = _firm()
    assert frozen["insured"] == "Prairie Mutual, policy 88-104, to Dec 31, 2031"
    kind, _, coded = frozen["mark"].partition(";base64,")
    assert kind == "data:image/jpeg"
    picture = Image.open(io.BytesIO(base64.b64decode(coded)))
    assert picture.width == 480 and min(picture.getpixel((2, 2))) > 240  # clear is white, not black
    assert [file.pk for file in firms_files()] == [Firm.objects.get().mark_id]
    shown = office.get(reverse("firm-mark"))
    assert shown.status_code == 200 and shown["Content-Type"] == "image/jpeg"
    assert FirmEvent.objects.filter(verb="firm added").count() == 1


def test_what_is_no_picture_is_refused_at_its_field_and_nothing_typed_is_lost(office: Client) -> None:
    page = reverse("firm")
    sent = {**as_drawn(office, page), **TYPED, "mark_file": SimpleUploadedFile("m.png", b"hello")}
    answer = office.post(page, sent)
    assert answer.status_code == 422 and b"not a picture" in answer.content
    assert b'value="88-104"' in answer.content and not Firm.objects.exists()


def test_the_first_day_list_ticks_itself_off(office: Client) -> None:
    assert [step.done for step in firm_steps()] == [False, False, False, False]
    page = reverse("firm")
    office.post(page, {**as_drawn(office, page), **TYPED})
    make_person("R. Kowalke, PE", "engineer", is_active=False)
    assert [step.done for step in firm_steps()] == [True, True, False, False]
    shown = office.get(reverse("first-day")).content.decode()
    assert "Next: " in shown and reverse("turbine-model-add") in shown
    assert reverse("first-day") in office.get(reverse("look-ahead")).content.decode()
    make_job()
    assert firm_steps()[-1].done


def test_the_list_of_a_job_follows_its_releases_to_the_packet() -> None:
    season = Season()
    titles = [step.title for step in job_steps(season.job)]
    assert (
        titles == ["Turbine", "Tower", "Site plan", "Foundation", "Ground station", "Permit packet"] or titles
    )
    assert {step.state for step in job_steps(season.job)[:5]} == {"draft saved, not released"}
    season.release("turbine")
    first = job_steps(season.job)[0]
    assert (first.done, first.state) == (True, "released A")
