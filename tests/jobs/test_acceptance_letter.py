"""The office records an engineer's letter that accepts open checks of a draft; without it it stays closed."""

from __future__ import annotations

import io
from datetime import timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image
from pypdf import PdfReader, PdfWriter

from installs.jobs.models import Acceptance, DraftAcceptance
from installs.jobs.sealing import chain_faults, digest
from installs.jobs.services import release_design
from installs.papers.pages import documents
from installs.papers.printing import printed
from installs.papers.services import order_paper
from installs.record.services import check_record
from tests.jobs.test_standing import Season
from tests.make import as_drawn, make_person

pytestmark = pytest.mark.django_db
WHY = "Fatigue and the shared ring worked out in our calculation 31-114."


def a_pdf(pages: int = 1, password: str = "") -> bytes:
    """A letter as an engineer sends it, of blank pages."""
    writer, out = PdfWriter(), io.BytesIO()
    for _ in range(pages):
        writer.add_blank_page(612, 792)
    if password:
        writer.encrypt(password)
    writer.write(out)
    return out.getvalue()


@pytest.fixture
def season(monkeypatch: pytest.MonkeyPatch) -> Season:
    made = Season()
    for part in ("turbine", "site", "tower"):
        made.release(part)
    monkeypatch.setattr("installs.jobs.letter_views.timezone.now", lambda: made.now + timedelta(hours=1))
    return made


def page(season: Season) -> str:
    return reverse("acceptance-letter", args=[season.job.number, "foundation"])


def signed_in(season: Season, name: str = "alma") -> Client:
    client = Client()
    client.force_login(season.cast[name])
    return client


def waiting(season: Season) -> list[str]:
    """Keys of the open checks of the draft."""
    from installs.jobs.parts import TABLE

    return [c.key for c in TABLE["foundation"].review(season.draft("foundation")).checks if c.needs_answer]


def letter(season: Season, client: Client, **change: Any) -> dict[str, Any]:
    sent = {
        **as_drawn(client, page(season)),
        "checks": waiting(season),
        "engineer": season.cast["lindqvist"].pk,
        "license": "PE-8842",
        "written_on": season.job.local(season.now).date().isoformat(),
        "reason": WHY,
        "letter": SimpleUploadedFile("letter.pdf", a_pdf()),
        **change,
    }
    return {name: value for name, value in sent.items() if value is not None}


def said(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


def try_release(season: Season) -> Any:
    """By the office, as its button does."""
    client, url = signed_in(season), reverse("foundation", args=[season.job.number])
    return client.post(url, {**as_drawn(client, url), "do": "release"})


def test_without_the_letter_the_office_cannot_release_and_with_it_it_can(season: Season) -> None:
    assert waiting(season)
    office = signed_in(season)
    shown = said(office.get(reverse("foundation", args=[season.job.number])))
    assert "Record the engineer's letter" in shown
    refused = try_release(season)
    assert refused.status_code == 422 and "written acceptance is required" in said(refused)
    answer = office.post(page(season), letter(season, office))
    assert answer.status_code == 302, said(answer)
    assert try_release(season).status_code == 302
    revision = season.job.revisions.newest("foundation")
    kept = list(Acceptance.objects.filter(revision=revision))
    assert {a.check_key for a in kept} == {c["key"] for c in revision.checks if c["verdict"] == "not checked"}
    for each in kept:
        assert (each.engineer, each.recorded_by) == (season.cast["lindqvist"], season.cast["alma"])
        assert each.in_words.endswith("license PE-8842, in a letter of May 5, 2031")
    assert season.void("foundation") == "" and chain_faults(season.job) == []
    assert check_record(season.job, at=season.now).faults == []


def test_the_line_of_the_log_names_engineer_license_letter_and_figures(season: Season) -> None:
    office = signed_in(season)
    office.post(page(season), letter(season, office))
    kept = DraftAcceptance.objects.first()
    assert kept is not None and kept.letter is not None
    line = season.job.events.filter(verb="check accepted").last()
    assert line.by == season.cast["alma"]
    assert "P. Lindqvist, PE" in line.what and "license PE-8842, in a letter of May 5, 2031" in line.what
    assert line.data["inputs"] == kept.inputs_sha256 == digest(season.draft("foundation").inputs())
    assert (line.data["file"], line.data["engineer"]) == (kept.letter.sha256, season.cast["lindqvist"].pk)
    given = office.get(reverse("acceptance-letter-file", args=[season.job.number, kept.pk]))
    assert b"".join(given.streaming_content) == a_pdf()


def test_another_figure_leaves_the_letter_behind(season: Season) -> None:
    office = signed_in(season)
    office.post(page(season), letter(season, office))
    season.change("foundation", side_ft=18.0)
    assert try_release(season).status_code == 422


def test_a_page_that_was_drawn_from_other_figures_is_refused_and_keeps_what_was_typed(season: Season) -> None:
    office = signed_in(season)
    sent = letter(season, office)
    season.change("foundation", side_ft=18.0)
    answer = office.post(page(season), sent)
    assert answer.status_code == 409 and not DraftAcceptance.objects.filter(recorded_by=season.cast["alma"])
    assert WHY.replace("'", "&#x27;") in said(answer) and "18" in said(answer)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"letter": None}, "required"),
        ({"letter": SimpleUploadedFile("x.pdf", b"hello")}, "not a picture"),
        ({"letter": SimpleUploadedFile("x.pdf", b"%PDF-1.7 nothing %%EOF")}, "cannot be read"),
        ({"letter": SimpleUploadedFile("x.pdf", a_pdf(0))}, "no page"),
        ({"letter": SimpleUploadedFile("x.pdf", a_pdf(1, "secret"))}, "locked by a password"),
        ({"license": " "}, "required"),
        ({"written_on": ""}, "required"),
        ({"written_on": "2031-05-09"}, "not come yet"),
        ({"engineer": ""}, "required"),
        ({"reason": ""}, "required"),
        ({"checks": []}, "required"),
        ({"checks": ["bearing-that-passes"]}, "not one of the available choices"),
    ],
)
def test_what_is_missing_is_said_and_nothing_is_accepted(season: Season, change: Any, words: str) -> None:
    office = signed_in(season)
    answer = office.post(page(season), letter(season, office, **change))
    assert answer.status_code == 422 and words in said(answer)
    assert not DraftAcceptance.objects.filter(job=season.job, part="foundation").exists()
    assert not season.job.events.filter(verb="check accepted", data__part="foundation").exists()


def test_a_letter_from_before_the_draft_was_changed_cannot_mean_it(season: Season) -> None:
    draft = season.draft("foundation")
    draft.changed_at = season.now
    draft.save()
    office, day = signed_in(season), season.job.local(season.now).date() - timedelta(days=1)
    answer = office.post(page(season), letter(season, office, written_on=day.isoformat()))
    assert answer.status_code == 422 and "an older letter cannot mean it" in said(answer)


@pytest.mark.parametrize("who", ["ben", "dee", "lindqvist"])
def test_only_the_office_records_letters(season: Season, who: str) -> None:
    person = season.cast.people.get(who) if hasattr(season.cast, "people") else None
    person = person or make_person("Some One", {"ben": "foreman", "dee": "crew"}.get(who, "engineer"))
    season.job.members.get_or_create(person=person, defaults={"since": season.now})
    client = Client()
    client.force_login(person)
    assert client.get(page(season)).status_code == 403


def test_an_acceptance_whose_letter_was_changed_behind_our_back_no_longer_counts(season: Season) -> None:
    office = signed_in(season)
    office.post(page(season), letter(season, office))
    DraftAcceptance.objects.filter(part="foundation").update(license="PE-1")
    assert try_release(season).status_code == 422
    draft = season.draft("foundation")
    from installs.jobs.parts import TABLE

    found = TABLE["foundation"].review(draft)
    with pytest.raises(ValidationError):
        release_design(
            draft.job, "foundation", draft.inputs(), found.results, found.checks,
            by=season.cast["alma"], at=season.now,
        )  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["pdf", pytest.param("photo", marks=pytest.mark.prove)])
def test_the_letter_is_named_on_the_paper_and_bound_in_behind_it(season: Season, kind: str) -> None:
    office = signed_in(season)
    if kind == "pdf":
        sent = SimpleUploadedFile("letter.pdf", a_pdf(2))
    else:
        Image.new("RGB", (600, 800), "white").save(out := io.BytesIO(), "JPEG")
        sent = SimpleUploadedFile("letter.jpg", out.getvalue(), "image/jpeg")
    assert office.post(page(season), letter(season, office, letter=sent)).status_code == 302
    assert try_release(season).status_code == 302
    paper = order_paper(season.job, "foundation sheets", by=season.cast["alma"], at=season.now)
    [given] = paper.inputs["releases"][0]["letters"]
    kept = DraftAcceptance.objects.filter(part="foundation").first()
    assert kept is not None and kept.letter is not None and given["sha256"] == kept.letter.sha256
    words = " ".join(" ".join(html for _, html in documents({**paper.inputs, "appendix": True})).split())
    assert "license PE-8842, in a letter of May 5, 2031" in words and "recorded by Alma Reyes" in words
    made = printed(paper, lambda said, share: None)
    last = [each.extract_text() for each in PdfReader(io.BytesIO(made.content)).pages]
    if kind == "pdf":
        assert last[-2:] == ["", ""] and last[-3]
    else:
        assert "in a letter of May 5, 2031" in " ".join(last[-1].split())
