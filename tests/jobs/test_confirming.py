"""The office records a named engineer's letter that a void release stands; without it the gate is closed."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from installs.gates.facts import facts_of
from installs.gates.rules import gate
from installs.jobs.confirming import confirm_release
from installs.jobs.models import Confirmation, DesignRevision
from installs.jobs.sealing import chain_faults, digest
from installs.papers.pages import documents
from installs.papers.services import order_paper
from tests.jobs.test_standing import Season
from tests.make import cleo, make_person

pytestmark = pytest.mark.django_db
PDF = b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\n%%EOF\n"
HIDDEN = re.compile(r'name="(drawn_from|seen)" value="([^"]*)"')
DUE = {"engineer": "", "license": "PE-8842", "reason": "2 % more, inside the margin of F-2."}


@pytest.fixture
def season(monkeypatch: pytest.MonkeyPatch) -> Season:
    """Foundation A on tower A, and tower B in force; a pour to come."""
    made = Season()
    for part in ("turbine", "site", "tower", "foundation"):
        made.release(part)
    made.change("tower", moment_kip_ft=480.0)
    made.release("tower")
    monkeypatch.setattr("installs.jobs.views.timezone.now", lambda: made.now + timedelta(hours=1))
    return made


def page(season: Season, part: str = "foundation") -> str:
    return reverse("release-stands", args=[season.job.number, part])


def signed_in(season: Season, name: str = "alma") -> Client:
    client = Client()
    client.force_login(season.cast[name])
    return client


def said(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


def letter(season: Season, client: Client, **change: Any) -> dict[str, Any]:
    """What the office sends: the page's own fields, and the letter."""
    sent = {
        **dict(HIDDEN.findall(client.get(page(season)).content.decode())),
        **DUE,
        "engineer": season.cast["lindqvist"].pk,
        "written_on": season.job.local(season.now).date().isoformat(),
        "letter": SimpleUploadedFile("letter.pdf", PDF),
        **change,
    }
    return {name: value for name, value in sent.items() if value is not None}


def excavation(season: Season) -> str:
    return gate("excavation", facts_of(season.job, season.now), season.now.date()).sentence


def test_the_office_with_the_letter_opens_the_gate(season: Season) -> None:
    assert "480 kip-ft is in force" in excavation(season)
    office, before = signed_in(season), season.job.events.count()
    assert "Record the engineer's letter" in said(office.get(reverse("foundation", args=[season.job.number])))
    answer = office.post(page(season), letter(season, office))
    assert answer.status_code == 302
    assert "480 kip-ft" not in excavation(season) and season.void("foundation") == ""
    kept = Confirmation.objects.get()
    assert (kept.engineer, kept.recorded_by) == (season.cast["lindqvist"], season.cast["alma"])
    assert (kept.license, kept.letter.content_type) == ("PE-8842", "application/pdf")
    event = season.job.events.order_by("sequence").last()
    assert season.job.events.count() == before + 1 and event.verb == "release confirmed"
    assert "license PE-8842, in a letter of May 5, 2031" in event.what
    assert event.data["file"] == kept.letter.sha256 and event.data["inputs"] == kept.inputs_sha256
    assert event.data["was_void"] == kept.was_void and chain_faults(season.job) == []
    given = office.get(reverse("confirmation-letter", args=[season.job.number, kept.pk]))
    assert b"".join(given.streaming_content) == PDF


def test_the_word_is_printed_and_travels_with_the_packet(season: Season) -> None:
    office = signed_in(season)
    office.post(page(season), letter(season, office))
    paper = order_paper(season.job, "foundation sheets", by=season.cast["alma"], at=season.now)
    sha = Confirmation.objects.get().letter.sha256
    assert paper.inputs["releases"][0]["confirmed"]["letter_sha256"] == sha
    word = "P. Lindqvist, PE, Lindqvist Structural, license PE-8842, in a letter of May 5, 2031"
    # on the sheets themselves, and in the calculations that go with the packets that have them
    for inputs in (paper.inputs, {**paper.inputs, "appendix": True}):
        printed = " ".join(" ".join(html for _said, html in documents(inputs)).split())
        assert f"Confirmed in writing by {word}" in printed
        assert f"recorded by Alma Reyes, file {sha[:8]}" in printed
        assert "480 kip-ft is in force" in printed and "inside the margin of F-2" in printed


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        ({"letter": None}, "letter", "P. Lindqvist, PE's letter is needed"),
        ({"letter": SimpleUploadedFile("x.pdf", b"hello")}, "letter", "not a picture"),
        ({"letter": SimpleUploadedFile("x.pdf", b"%PDF-1.7 half")}, "letter", "cut off"),
        ({"license": " "}, "license", "required"),
        ({"written_on": ""}, "written_on", "required"),
        ({"written_on": "2031-05-09"}, "written_on", "not come yet"),
        ({"written_on": "2031-05-04"}, "written_on", "Tower B was released May 5, 2031"),
        ({"reason": ""}, "reason", "required"),
        ({"engineer": ""}, "engineer", "required"),
    ],
)
def test_what_is_missing_is_said_at_its_field_and_the_gate_stays_closed(
    season: Season, change: dict[str, Any], field: str, words: str
) -> None:
    office = signed_in(season)
    answer = office.post(page(season), letter(season, office, **change))
    assert answer.status_code == 422
    assert words in " ".join(answer.context["form"].errors[field])
    if field != "reason":
        assert "2 % more, inside the margin of F-2." in answer.content.decode()
    assert not Confirmation.objects.exists() and "480 kip-ft is in force" in excavation(season)


def test_nobody_but_an_engineer_is_named(season: Season) -> None:
    office = signed_in(season)
    answer = office.post(page(season), letter(season, office, engineer=season.cast["alma"].pk))
    assert answer.status_code == 422 and answer.context["form"].errors["engineer"]
    assert not Confirmation.objects.exists()


def test_an_old_page_confirms_nothing_and_says_what_changed(season: Season) -> None:
    office = signed_in(season)
    read = letter(season, office)
    season.change("tower", moment_kip_ft=600.0)
    season.release("tower")
    answer = office.post(page(season), read)
    assert answer.status_code == 409 and not Confirmation.objects.exists()
    text = said(answer)
    assert "this has changed since the page was read" in text
    assert re.search(r"<td>[^<]*480 kip-ft is in force</td><td>[^<]*600 kip-ft is in force</td>", text)
    assert "2 % more, inside the margin of F-2." in text and 'value="PE-8842"' in text
    assert office.post(page(season), letter(season, office)).status_code == 302


def test_a_page_of_a_superseded_release_confirms_nothing(season: Season) -> None:
    office = signed_in(season)
    read = letter(season, office)
    season.change("foundation", side_ft=16.5)
    season.release("foundation")
    answer = office.post(page(season), read)
    assert answer.status_code == 409 and "there is nothing to confirm" in said(answer)
    assert not Confirmation.objects.exists()


def test_a_page_that_does_not_say_what_was_read_confirms_nothing(season: Season) -> None:
    office = signed_in(season)
    sent = letter(season, office, seen=None, drawn_from=None)
    assert office.post(page(season), sent).status_code == 409
    assert not Confirmation.objects.exists()


def test_the_word_falls_away_when_what_it_stands_on_is_released_again(season: Season) -> None:
    office = signed_in(season)
    office.post(page(season), letter(season, office))
    season.change("tower", moment_kip_ft=600.0)
    season.release("tower")
    assert "600 kip-ft is in force" in excavation(season)
    assert "No longer counts." in said(office.get(page(season)))
    assert "Confirmed in writing" not in said(office.get(reverse("foundation", args=[season.job.number])))


def test_the_word_is_for_the_figures_that_the_release_had(season: Season) -> None:
    office = signed_in(season)
    office.post(page(season), letter(season, office))
    foundation = season.job.revisions.newest("foundation")
    assert foundation is not None and Confirmation.objects.get().inputs_sha256 == digest(foundation.inputs)
    DesignRevision.objects.filter(pk=foundation.pk).update(inputs={**foundation.inputs, "side_ft": 9.0})
    assert season.void("foundation")


def test_the_engineer_signs_in_and_needs_no_letter(season: Season) -> None:
    """Under the license on record."""
    engineer = signed_in(season, "lindqvist")
    hidden = dict(HIDDEN.findall(engineer.get(page(season)).content.decode()))
    assert engineer.post(page(season), {**hidden, "reason": "Inside the margin."}).status_code == 302
    kept = Confirmation.objects.get()
    assert kept.letter is None and kept.license == "PE-0000 (demo)"
    assert kept.in_words == "P. Lindqvist, PE, Lindqvist Structural, license PE-0000 (demo)"


def test_others_neither_see_the_page_nor_record_anything(season: Season) -> None:
    office = signed_in(season)
    sent = letter(season, office)
    foreman, stranger = make_person(), cleo()
    season.job.members.create(person=foreman, since=season.now)
    for person, status in ((foreman, 403), (stranger, 404)):
        client = Client()
        client.force_login(person)
        assert client.get(page(season)).status_code == status
        assert client.post(page(season), sent).status_code == status
    assert not Confirmation.objects.exists()
    assert office.get(page(season, "pour")).status_code == 404
    assert "Record that it stands" not in said(office.get(page(season, "tower")))


def test_the_letter_is_seen_by_who_sees_the_job(season: Season) -> None:
    office = signed_in(season)
    office.post(page(season), letter(season, office))
    url = reverse("confirmation-letter", args=[season.job.number, Confirmation.objects.get().pk])
    client = Client()
    client.force_login(cleo())
    assert client.get(url).status_code == 404


def test_a_word_that_is_not_the_engineers_own_is_refused_by_the_service_too(season: Season) -> None:
    foundation = season.job.revisions.newest("foundation")
    assert foundation is not None
    with pytest.raises(Exception, match="name the engineer"):
        confirm_release(foundation, "It is fine.", by=season.cast["alma"], at=season.now)
