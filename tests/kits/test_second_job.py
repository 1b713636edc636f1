"""A second job of a kit, from its opening to its permit packet through the forms, each value counted."""

from __future__ import annotations

import io
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfWriter

from installs.jobs.models import Job
from installs.jobs.parts import TABLE
from installs.kits.models import Kit
from installs.papers.models import Paper
from tests.house.page_forms import PageForm, forms_of
from tests.jobs.test_standing import Season

pytestmark = pytest.mark.django_db
MOST_TYPED = 60

JOB = {
    "owner": "Sela Marsh",
    "place": "Alder Twp",
    "county": "Juniper County",
    "address": "9 Osier Rd",
    "authority": "Juniper County",
    "utility": "Prairie Electric",
    "description": "15 kW turbine on a 100 ft tower",
}
# as a lot is paced out and an ordinance is read; what nobody gives stays not checked, for the engineer
SITE = {
    "north_ft": "340",
    "east_ft": "300",
    "south_ft": "420",
    "west_ft": "260",
    "surveyed_ft": "600",
    "no_line_within_ft": "600",
    "property_multiple": "1.1",
    "dwelling_multiple": "1.5",
    "road_multiple": "1.1",
    "line_multiple": "1.1",
    "ordinance": "Juniper County 8-12",
    "mean_mph": "12.4",
    "wind_at_ft": "98",
    "elevation_ft": "1540",
}
TOWER = {"wind_mph": "115"}
FOUNDATION = {"frost_ft": "4.5", "water_ft": "11", "soil": "CL", "seismic_category": "A"}
GROUND_STATION = {
    "panel_bus_a": "400",
    "panel_main_a": "400",
    "main_interrupting_a": "22000",
    "breaker_position": "opposite end from main",
    "breakers_sum_a": "310",
    "service_kva": "50",
    "service_z_pct": "2",
    "service_x_over_r": "1.6",
}


def a_pdf() -> bytes:
    writer, out = PdfWriter(), io.BytesIO()
    writer.add_blank_page(612, 792)
    writer.write(out)
    return out.getvalue()


class Typist:
    """Fills in forms as they stand on their pages, and counts what had to be typed, chosen or ticked."""

    def __init__(self, person: Any) -> None:
        self.client, self.typed = Client(), 0
        self.client.force_login(person)

    def form(self, page: str, button: tuple[str, str]) -> PageForm:
        shown = self.client.get(page)
        assert shown.status_code == 200, page
        found = forms_of(shown.content.decode(), page.partition("?")[0])
        return next(f for f in found if button in f.buttons)

    def send(self, page: str, values: dict[str, Any], button: tuple[str, str] = ("save", "")) -> Any:
        form = self.form(page, button)
        standing = form.filled()
        for name, value in values.items():
            assert name in form.names, f"{page} has no field {name}"
            if isinstance(value, list):
                self.typed += len(value)
            elif standing.get(name) != [value]:
                self.typed += 1
        answer = self.client.post(form.action or page, {**standing, **values, button[0]: button[1]})
        told = " ".join(answer.content.decode().split())
        assert answer.status_code == 302, told[told.find('class="said') :][:1500]
        return answer


@pytest.fixture
def first(monkeypatch: pytest.MonkeyPatch) -> Season:
    """A job of the firm whose parts are released."""
    made = Season()
    for part in ("turbine", "site", "tower", "foundation", "ground_station"):
        made.release(part)
    return made


def letter_for(typist: Typist, job: Job, part: str) -> None:
    """What is still open goes to the engineer, who accepts it in a letter."""
    page = reverse("acceptance-letter", args=[job.number, part])
    draft = TABLE[part].draft_of(job)
    waiting = [check.key for check in TABLE[part].review(draft).checks if check.needs_answer]
    if not waiting:
        return
    values: dict[str, Any] = {"checks": waiting}
    if not job.draft_acceptances.exists():  # it is one letter, and stands in the form from then on
        values |= {
            "license": "PE-8842",
            "written_on": job.local(timezone.now()).date().isoformat(),
            "reason": "Worked out in our calculation 31-120.",
            "letter": SimpleUploadedFile("letter.pdf", a_pdf()),
        }
    typist.send(page, values)


def test_a_second_job_of_a_kit_reaches_its_packet_with_at_most_sixty_values(first: Season) -> None:
    office = Typist(first.cast["alma"])
    of_first = reverse("kit-of-job", args=[first.job.number])
    office.send(of_first, {"name": "15 kW on 100 ft"})
    kit = Kit.objects.get()
    assert sorted(r.part for r in kit.releases.all()) == ["foundation", "ground_station", "tower", "turbine"]

    office.typed = 0
    opened = office.send(reverse("job-open"), JOB)
    job = Job.objects.latest("pk")
    assert opened.url == reverse("job-book", args=[job.number])
    book = office.client.get(opened.url).content.decode()
    assert reverse("kit-take", args=[job.number]) in book
    office.send(reverse("kit-take", args=[job.number]), {"kit": str(kit.pk)})
    assert not job.revisions.exists() and not job.draft_acceptances.exists()

    questions = reverse("kit-questions", args=[job.number])
    waiting = [key for key, _ in office.client.get(questions).context["form"].fields["questions"].choices]
    office.send(questions, {"questions": waiting})
    for part, values in (
        ("turbine", {}),
        ("tower", TOWER),
        ("site", SITE),
        ("foundation", FOUNDATION),
        ("ground_station", GROUND_STATION),
    ):
        page = reverse(TABLE[part].page, args=[job.number])
        if values:
            office.send(page, values, ("do", "keep"))
        letter_for(office, job, part)
        office.send(page, {}, ("do", "release"))
    for part in ("turbine", "tower", "site", "foundation", "ground_station"):
        assert job.revisions.newest(part) is not None, part
    order = reverse("papers", args=[job.number])
    shown = office.client.get(order).content.decode()
    form = next(f for f in forms_of(shown, order) if ("kind", "permit packet") in f.buttons)
    answer = office.client.post(form.action, {**form.filled(), "kind": "permit packet"})
    assert answer.status_code == 302
    packet = Paper.objects.get(job=job, kind="permit packet")
    assert packet.inputs["firm"]["name"] and packet.inputs["job"]["owner"] == "Sela Marsh"
    assert office.typed <= MOST_TYPED, office.typed
