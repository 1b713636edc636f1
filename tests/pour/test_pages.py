"""The pour page: it shows the record, takes facts, and says what is wrong at the field."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from installs.checklists.taking import take_entry
from installs.people.access import ABILITIES
from installs.pour import forms as pour_forms
from installs.pour.models import EarlyRelease, PourDesign, StrengthNotice
from tests.make import as_drawn, cleo, make_person
from tests.pour.conftest import POUR, log_csv

pytestmark = pytest.mark.django_db
NOW = POUR + timedelta(days=20)


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    """The page's today is twenty days after the pour."""
    monkeypatch.setattr("installs.pour.views.timezone.now", lambda: NOW)


def url(job, name: str = "pour") -> str:
    return reverse(name, args=[job.number])


def said(response) -> str:
    return " ".join(response.content.decode().split())


def post(client, job, name: str, prefix: str, **fields):
    return client.post(url(job, name), {"do": "record", **{f"{prefix}-{k}": v for k, v in fields.items()}})


TRUCK = {
    "truck": "5", "ticket": "48826", "yards": "8", "batched": "2031-04-24T12:10",
    "discharged": "2031-04-24T13:12", "slump": "4.25", "air": "6", "concrete": "60",
}  # fmt: skip
NOTICE = {
    "method": "ASTM C39", "cure": "field", "diameter_in": "4", "age_days": "14", "signer": "T. Orme",
    "firm": "Sorrel Testing", "written_on": "2031-05-08",
    "cylinders-0-mark": "F1", "cylinders-0-psi": "2650", "cylinders-1-mark": "F2", "cylinders-1-psi": "2730",
    "cylinders-2-mark": "F3", "cylinders-2-psi": "2690",
}  # fmt: skip


def test_the_page_shows_section_tickets_and_what_is_missing(client, poured, office):
    client.force_login(office)
    page = said(client.get(url(poured)))
    for words in (
        "pad 35.3 yd³, 38.0 yd³ placed, 2.7 yd³ over",
        "48821",
        "0.0 of 28 curing days",
        "strength notice not written",
    ):
        assert words in page
    assert "style=" not in page
    assert "<script>" not in page


def test_a_new_job_has_a_page_too(client, job, office):
    client.force_login(office)
    response = client.get(url(job))
    assert response.status_code == 200
    assert "Not poured yet" in said(response)


def test_what_does_not_apply_closes_no_release(client, job, office):
    PourDesign(job=job).change(fc_psi=4500.0, accelerator="none").save()
    client.force_login(office)
    page = said(client.get(url(job)))
    closing = page[page.index("closed:") : page.index("opens when each passes")]
    assert "Does not apply" in page and "does not apply" not in closing and "not checked" in closing


@pytest.mark.parametrize("role", ["foreman", "crew", "electrician", "engineer", "office"])
def test_who_may_write_down_what(client, poured, role):
    from installs.jobs.services import add_member

    person = make_person("Dana Role", role)
    add_member(poured, person, by=person, at=NOW)
    client.force_login(person)
    truck = post(client, poured, "pour-truck", "truck", **TRUCK).status_code
    notice = post(client, poured, "strength-notice", "notice", **NOTICE).status_code
    assert (truck == 302) == (role in ABILITIES["record entries"])
    assert (notice == 302) == (role in ABILITIES["record strength"])


def test_a_stranger_sees_nothing(client, poured):
    client.force_login(cleo())
    assert client.get(url(poured)).status_code == 404


def test_a_truck_is_recorded_as_entries(client, poured, foreman):
    client.force_login(foreman)
    assert post(client, poured, "pour-truck", "truck", **TRUCK).status_code == 302
    kept = {e.code: e.number for e in poured.entries.filter(subject="truck 5")}
    assert kept == {"D01": 8.0, "D02": 62.0, "D03": 4.25, "D04": 6.0, "D05": 60.0}


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("yards", "950", "too large"),
        ("yards", "", "required"),
        ("slump", "nan", "Enter a number"),
        ("slump", "108", "it can be 0 to 12 in"),
        ("air", "-1", "it can be 0 to 15 %"),
        ("concrete", "inf", "Enter a number"),
        ("discharged", "2031-04-24T12:00", "before it was batched"),
        ("batched", "2041-04-24T12:10", "still to come"),
        ("batched", "yesterday", "A time like"),
        ("truck", "0", "greater than or equal"),
        ("truck", "1", "Say why"),
        ("ticket", "№" * 60, "at most 40"),
    ],
)
def test_a_bad_ticket_is_said_at_its_field_and_nothing_is_kept(client, poured, foreman, field, value, words):
    client.force_login(foreman)
    before = poured.entries.count()
    response = post(client, poured, "pour-truck", "truck", **{**TRUCK, field: value})
    assert response.status_code == 422
    assert words in said(response)
    assert poured.entries.count() == before
    assert TRUCK["slump"] in said(response) or field == "slump", "what was typed is kept"


def test_the_page_with_errors_posts_its_schedule_to_the_page(client, poured, foreman):
    client.force_login(foreman)
    response = post(client, poured, "pour-truck", "truck")
    assert f'hx-post="{url(poured)}"' in said(response)


def send_log(client, job, content: bytes, name: str = "edge.csv", **how):
    fields = {
        "logger-file": SimpleUploadedFile(name, content),
        "logger-unit": "F",
        "logger-clock": "site",
        **how,
    }
    return client.post(url(job, "pour-logger"), {"do": "record", **fields})


def test_a_logger_file_is_one_entry_and_draws_the_chart(client, poured, foreman):
    client.force_login(foreman)
    assert send_log(client, poured, log_csv([60.0] * 24 * 19)).status_code == 302
    (entry,) = poured.entries.filter(code="E03")
    assert entry.data["readings"] == 456
    page = said(client.get(url(poured)))
    assert "curing-day credit, day by day" in page
    assert "edge, the coldest governs" in page
    assert "style=" not in page
    assert "<style" not in page


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"\x00\x01\x02PK", "not a text file"),
        (b"hello\nworld\n", "no header line"),
        (b"Time,edge (F)\n2031-04-25 10:00,NaN\n", "line 2, edge: NaN is not a number"),
        (b"Time,edge (F)\n2031-04-25 10:00,6000\n", "line 2, edge: 6000 F is too large"),
        ("Time,Kante °F\nmañana,60\n".encode(), "is not a time"),
        (b"Time,edge (F)\n2035-04-25 10:00,60\n", "still to come"),
        (b"Time,edge (F)\n2001-04-25 10:00,60\n", "clock set"),
        (log_csv([14.0] * 48), "Is the file in C"),
        (b"Time,edge (F)\n" + b"x" * 13_000_000, "at most 12 MB"),
    ],
)
def test_a_bad_file_is_said_at_its_field_and_nothing_is_kept(client, poured, foreman, content, words):
    client.force_login(foreman)
    before = poured.entries.count()
    response = send_log(client, poured, content)
    assert response.status_code == 422
    assert words in said(response)
    assert poured.entries.count() == before


def test_a_file_of_50_megabytes_is_refused_in_words(client, poured, foreman):
    client.force_login(foreman)
    response = send_log(client, poured, b"Time,edge (F)\n" + b"2031-04-25 10:00,60\n" * 2_500_000)
    assert response.status_code == 422
    assert "The file is 50 MB; at most 12 MB is taken." in said(response)


def test_no_file_at_all(client, poured, foreman):
    client.force_login(foreman)
    response = client.post(url(poured, "pour-logger"), {"logger-unit": "F", "logger-clock": "site"})
    assert response.status_code == 422


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("cylinders-0-psi", "2.65", "Typed in ksi"),
        ("cylinders-0-psi", "nan", "Enter a number"),
        ("cylinders-1-mark", "F1", "same mark"),
        ("age_days", "28", "days after the pour"),
        ("written_on", "2031-06-30", "still to come"),
        ("written_on", "2031-04-20", "after that day"),
        ("signer", "", "required"),
        ("cure", "", "required"),
        ("diameter_in", "5", "Cylinders are 4 by 8 in or 6 by 12 in."),
    ],
)
def test_a_bad_notice_is_said_at_its_field(client, poured, office, field, value, words):
    client.force_login(office)
    response = post(client, poured, "strength-notice", "notice", **{**NOTICE, field: value})
    assert response.status_code == 422
    assert words in said(response)
    assert not StrengthNotice.objects.exists()


def test_a_notice_with_a_paper_that_is_none_is_not_half_saved(client, poured, office):
    client.force_login(office)
    paper = SimpleUploadedFile("notice.pdf", b"not a picture, not a PDF")
    response = post(client, poured, "strength-notice", "notice", **NOTICE, paper=paper)
    assert response.status_code == 422
    assert "not a picture" in said(response)
    assert not StrengthNotice.objects.exists()


def test_a_notice_is_recorded_and_its_paper_given_back(client, poured, office):
    client.force_login(office)
    paper = SimpleUploadedFile("notice.pdf", b"%PDF-1.4 invented %%EOF")
    assert post(client, poured, "strength-notice", "notice", **NOTICE, paper=paper).status_code == 302
    kept = StrengthNotice.objects.get()
    assert kept.average_psi == pytest.approx(2690)
    given = client.get(reverse("strength-notice-paper", args=[poured.number, kept.pk]))
    assert b"".join(given.streaming_content) == b"%PDF-1.4 invented %%EOF"


def test_early_release_needs_the_engineer_or_the_letter(client, poured, office, engineer):
    client.force_login(office)
    given = {"engineer": engineer.pk, "reason": "Low winds."}
    response = post(client, poured, "early-release", "early", **given)
    assert response.status_code == 422
    assert "letter is needed" in said(response)
    client.force_login(engineer)
    page = url(poured)
    early = as_drawn(client, page, url(poured, "early-release"))
    typed = {f"early-{name}": value for name, value in given.items()}
    assert client.post(url(poured, "early-release"), {**typed, **early}).status_code == 302
    assert "Released before the curing days by Rhoda Kell, PE" in said(client.get(url(poured)))
    release = EarlyRelease.objects.get()
    again = reverse("early-release-withdraw", args=[poured.number, release.pk])
    refused = client.post(again, {"reason": "The edge \x07 froze.", **as_drawn(client, page, again)})
    assert refused.status_code == 422
    assert "The edge" in refused.content.decode()
    assert not EarlyRelease.objects.exclude(withdraws=None).exists()
    client.post(again, {"reason": "The edge froze.", **as_drawn(client, page, again)})
    assert "0.0 of 28 curing days" in said(client.get(url(poured)))


def test_changing_a_number_redraws_and_keeps_nothing(client, poured, office):
    client.force_login(office)
    form = pour_forms.PourForm(instance=poured.pour)
    fields = {b.html_name: b.value() if b.value() is not None else "" for b in form if b.name != "normals"}
    fields |= {"fc_psi": "4000", "do": "look"}
    response = client.post(url(poured), fields, headers={"HX-Request": "true"})
    assert response.status_code == 200
    assert "the foundation asks 4,500 psi" in said(response)
    assert PourDesign.objects.get().figures.fc_psi == 4500


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("fc_psi", "4.5"),
        ("curing_days", "7"),
        ("aggregate_in", "0.8"),
        ("normals-0-jan", "x"),
        ("q_k", "nan"),
    ],
)
def test_a_bad_figure_is_said_and_not_kept(client, poured, office, field, value):
    client.force_login(office)
    form = pour_forms.PourForm(instance=poured.pour)
    fields = {b.html_name: b.value() if b.value() is not None else "" for b in form if b.name != "normals"}
    fields |= {f"normals-0-{m}": str(t) for m, t in poured.pour.value["normals"][0].items()}
    response = client.post(url(poured), {**fields, field: value, "do": "keep"})
    assert response.status_code == 422
    assert PourDesign.objects.get().figures.fc_psi == 4500
    assert "errorlist" in said(response)


def test_a_heading_stands_only_over_what_is_recorded(client, job, released, office, foreman):
    client.force_login(office)
    assert "<h3>Recorded</h3>" not in said(client.get(url(job)))
    tell = {"by": foreman, "received_at": NOW, "taken_at": NOW, "code": "D08", "subject": "truck 1"}
    take_entry(job, **tell, text="no cylinders at hand", data={"cannot": True})
    assert "<h3>Recorded</h3>" not in said(client.get(url(job)))
    take_entry(job, **tell, number=6.0)
    assert "6 cylinders made" in said(client.get(url(job)))
