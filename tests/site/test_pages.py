"""The site's design page: redraws at once, keeps what was typed, says faults at their field."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from installs.site.models import SiteDesign
from tests.make import alma, drawn_from, make_job, make_person
from tests.site.lots import figures, make_site
from tests.turbine.machines import make_turbine

pytestmark = pytest.mark.django_db


def posted(**change: Any) -> dict[str, Any]:
    """The form as a browser sends it: rows as one field a cell."""
    from installs.site.forms import SiteForm

    values = {**SiteForm(instance=SiteDesign()).initial, **figures()}
    sent: dict[str, Any] = {"do": "keep"}
    for name in SiteForm(instance=SiteDesign()).fields:
        value = values.get(name)
        if isinstance(value, list):
            for row, cells in enumerate(value):
                for column, cell in cells.items():
                    sent[f"{name}-{row}-{column}"] = "" if cell is None else cell
        elif value is True:
            sent[name] = "on"
        elif value is not None and value is not False:
            sent[name] = value
    return {**sent, **change}


def test_what_is_posted_is_kept(client) -> None:
    job = make_job()
    make_turbine(job)
    client.force_login(alma())
    url = reverse("site", args=[job.number])
    answer = client.post(url, {**posted(), **drawn_from(client, url)})
    assert answer.status_code == 302, answer.context["form"].errors
    kept = SiteDesign.objects.get(job=job)
    assert kept.figures.north_ft == 162.0 and [t.name for t in kept.figures.things] == [
        t["name"] for t in figures()["things"]
    ]
    assert kept.figures.airports_listed is True
    page = client.get(reverse("site", args=[job.number])).content.decode()
    assert "County Road 12" in page and "Setback to property lines." in page


def test_changing_a_number_redraws_and_keeps_nothing(client) -> None:
    job = make_job()
    make_turbine(job)
    make_site(job)
    client.force_login(alma())
    answer = client.post(
        reverse("site", args=[job.number]),
        posted(do="look", north_ft="140"),
        headers={"HX-Request": "true"},
    )
    text = answer.content.decode()
    assert answer.status_code == 200 and "<html" not in text
    assert "140 ft to the line north, 146.3 ft required" in text
    assert text.count("layer-ring") == 1
    assert "layer-ring" not in client.get(reverse("site", args=[job.number])).content.decode()
    assert SiteDesign.objects.get(job=job).figures.north_ft == 162.0


@pytest.mark.parametrize(
    ("change", "field", "said"),
    [
        ({"north_ft": "-1"}, "north_ft", "too small"),
        ({"north_ft": "nan"}, "north_ft", "Enter a number"),
        ({"mean_mph": "125"}, "mean_mph", "too large"),
        ({"things-0-distance_ft": ""}, "things", "Row 1, nearest point: is missing"),
        ({"things-0-kind": "castle"}, "things", "Row 1, kind: is one of"),
        ({"things-1-height_ft": "1e9"}, "things", "Row 2, height"),
        (
            {"runways-0-name": "Plum", "runways-0-use": "runway", "runways-0-longest_ft": "x"},
            "runways",
            "Row 1",
        ),
        ({"monthly-0-jan": "12"}, "monthly", "is missing"),
        ({"law": "log law", "roughness_ft": ""}, "roughness_ft", "is missing"),
        ({"law": "guess"}, "law", "valid choice"),
        ({"frost_ft": "54"}, "frost_ft", "Typed in inches?"),
        ({"soil": "ß" * 300}, "soil", "200"),
    ],
)
def test_faults_are_said_at_their_field_and_what_was_typed_stays(client, change, field, said) -> None:
    job = make_job()
    make_turbine(job)
    make_site(job)
    client.force_login(alma())
    answer = client.post(reverse("site", args=[job.number]), posted(**change))
    assert answer.status_code == 422
    assert said in " ".join(answer.context["form"].errors[field])
    name, value = next(iter(change.items()))
    if name not in ("law", "things-0-kind"):  # a list of choices cannot show what is none of them
        assert value in answer.content.decode()
    assert SiteDesign.objects.get(job=job).figures.north_ft == 162.0


def test_a_monthly_mean_that_does_not_fit_the_year_is_said_there(client) -> None:
    job = make_job()
    make_turbine(job)
    client.force_login(alma())
    months = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
    answer = client.post(
        reverse("site", args=[job.number]), posted(**{f"monthly-0-{m}": "16" for m in months})
    )
    assert answer.status_code == 422
    assert "average 16.0 mph" in str(answer.context["form"].errors["monthly"])


def test_without_a_turbine_the_page_says_what_is_missing(client) -> None:
    job = make_job()
    client.force_login(alma())
    page = client.get(reverse("site", args=[job.number]))
    assert page.status_code == 200 and b"No turbine is chosen" in page.content


def test_a_member_sees_the_site_and_a_stranger_does_not(client) -> None:
    ben, cleo = make_person(), make_person("Cleo Stranger", "crew")
    job = make_job(members=(ben,))
    client.force_login(ben)
    assert client.get(reverse("site", args=[job.number])).status_code == 200
    assert client.post(reverse("site", args=[job.number]), posted()).status_code == 403
    client.force_login(cleo)
    assert client.get(reverse("site", args=[job.number])).status_code == 404


# rows of repository davidmegginson/ourairports-data at 1fb3eea (public domain), runways.csv, fewer columns
OURAIRPORTS = b"""airport_ident,length_ft,closed,le_ident,le_latitude_deg,le_longitude_deg,\
le_elevation_ft,he_ident,he_latitude_deg,he_longitude_deg,he_elevation_ft
KFSD,9000,0,03,43.57260132,-96.75370026,1423,21,43.59289932,-96.73429871,1429
KFSD,3151,0,09,43.57799911,-96.74749756,1422,27,43.57600021,-96.73600006,1421
KOWA,5500,0,12,44.127601623535156,-93.26930236816406,1106,30,44.11920166015625,-93.25189971923828,1145
"""


def test_runways_are_found_in_a_file_by_the_towers_place(client) -> None:
    job = make_job()
    make_turbine(job)
    client.force_login(alma())
    place = {"latitude_deg": "43.578", "longitude_deg": "-96.81"}
    sent = posted(**place, runways_csv=SimpleUploadedFile("runways.csv", OURAIRPORTS))
    url = reverse("site", args=[job.number])
    assert client.post(url, {**sent, **drawn_from(client, url)}).status_code == 302
    kept = SiteDesign.objects.get(job=job).figures.runways
    assert [row.name for row in kept] == ["KFSD 03/21", "KFSD 09/27"]
    assert {row.longest_ft for row in kept} == {9000.0}
    page = client.get(reverse("site", args=[job.number])).content.decode()
    assert "100 to 1 surface of KFSD 03/21" in page


@pytest.mark.parametrize(
    ("content", "place", "field", "said"),
    [
        (OURAIRPORTS, {}, "latitude_deg", "Is needed"),
        (b"a,b\n1,2\n", {"latitude_deg": "43", "longitude_deg": "-96"}, "runways_csv", "Columns are missing"),
        (b"\x00\xff", {"latitude_deg": "43", "longitude_deg": "-96"}, "runways_csv", "not a text file"),
        (
            OURAIRPORTS.replace(b"43.57260132", b"north"),
            {"latitude_deg": "43", "longitude_deg": "-96"},
            "runways_csv",
            "Line 2, le_latitude_deg: north",
        ),
        (OURAIRPORTS, {"latitude_deg": "43", "longitude_deg": "96"}, "longitude_deg", "too large"),
    ],
)
def test_a_file_of_runways_that_cannot_be_used_is_said_at_its_field(
    client, content, place, field, said
) -> None:
    job = make_job()
    make_turbine(job)
    client.force_login(alma())
    sent = posted(**place, runways_csv=SimpleUploadedFile("runways.csv", content))
    answer = client.post(reverse("site", args=[job.number]), sent)
    assert answer.status_code == 422
    assert said in " ".join(answer.context["form"].errors[field])
    assert not SiteDesign.objects.exists()
