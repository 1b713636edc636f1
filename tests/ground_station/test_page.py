"""The design page: redraw, keep, refuse; who may do what; release when every check passes or is accepted."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError

from installs.ground_station.models import GroundStationDesign
from installs.ground_station.review import review
from installs.jobs.services import accept_draft_check, release_design
from tests.ground_station.make_station import RISER, make_station, posted
from tests.make import AT, alma, make_job, make_person

pytestmark = pytest.mark.django_db


def url(job):
    return f"/jobs/{job.number}/ground-station/"


def test_a_job_without_a_draft_has_a_page_on_which_nothing_passes_that_is_not_known(at_the_desk, job):
    answer = at_the_desk.get(url(job))
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "<strong>Turbine output.</strong>" in page and "Not checked" in page
    assert "disabled>Release this draft" in page


def test_every_check_of_a_station_with_all_figures_passes(job):
    assert [c.key for c in review(make_station(job)).checks if not c.passes] == []


def test_changing_a_number_redraws_at_once_and_keeps_nothing(at_the_desk, job):
    draft = make_station(job)
    data = posted(draft, do="look", **{"runs-1-length_ft": "1,400"})
    page = at_the_desk.post(url(job), data, headers={"HX-Request": "true"}).content.decode()
    assert "Trench: voltage drop." in page and "1400 ft, tower base to rectifier" in page
    assert "<html" not in page
    draft.refresh_from_db()
    assert draft.figures.runs[1].length_ft == 240.0


def test_without_javascript_the_same_form_redraws_the_whole_page(at_the_desk, job):
    page = at_the_desk.post(url(job), posted(make_station(job), do="look", inverter_a="50")).content.decode()
    assert "<html" in page and "50 A" in page


def test_keep_saves_and_writes_the_log(at_the_desk, job):
    make_station(job)
    answer = at_the_desk.post(url(job), posted(job.ground_station, do="keep", panel_main_a="150"))
    assert answer.status_code == 302
    assert GroundStationDesign.objects.get(job=job).figures.panel_main_a == 150
    assert "panel main a" in job.events.order_by("-sequence").first().what


def test_a_first_draft_is_kept_with_what_is_known_so_far(at_the_desk, job):
    answer = at_the_desk.post(url(job), posted(GroundStationDesign(job=job), do="keep", inverter_a="41.7"))
    assert answer.status_code == 302
    assert GroundStationDesign.objects.get(job=job).figures.inverter_a == 41.7


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("runs-0-length_ft", "", "Row 1, length one way: is missing."),
        ("runs-0-length_ft", "far", "Row 1, length one way"),
        ("runs-0-length_ft", "NaN", "Row 1, length one way"),
        ("runs-0-length_ft", "1e400", "Row 1, length one way"),
        ("runs-0-size", "5", "Row 1, conductor"),
        ("runs-0-sets", "1.5", "Row 1, parallel sets: 1.5 is not a whole number."),
        ("runs-0-sets", "2", "Tower riser, sets: conductors smaller than 1/0 AWG"),
        ("runs-0-trade_size", "", "Tower riser, trade size: is missing"),
        ("runs-0-ambient_f", "400", "Row 1, highest ambient"),
        ("runs-1-name", "Tower riser", "Two runs are named Tower riser."),
        ("turbine_v", "12 kV", "Enter a number."),
        ("turbine_v", "99999", "99999 V is too large"),
        ("inverter_a", "-3", "-3 A is too small"),
        ("service_sets", "0", "0 sets is too small; at least 1 sets."),
        ("rods", "41", "41 rods is too large"),
        ("edition", "1999", "Select a valid choice"),
        ("breaker_position", "Größe", "Select a valid choice"),
        ("rectifier", "x" * 61, "at most 60 characters"),
    ],
)
def test_bad_input_is_said_at_its_field_and_nothing_is_kept_or_lost(at_the_desk, job, field, typed, said):
    draft = make_station(job)
    before = draft.inputs()
    answer = at_the_desk.post(url(job), posted(draft, do="keep", **{field: typed}))
    page = answer.content.decode().replace("&#x27;", "'")
    assert answer.status_code == 422
    assert said in page
    assert typed in page and "Tower riser" in page
    assert GroundStationDesign.objects.get(job=job).inputs() == before


def test_an_ambient_no_table_holds_names_its_run(at_the_desk, job):
    data = posted(make_station(job), do="look", **{"runs-0-ambient_f": "185", "runs-0-insulation": "THWN"})
    answer = at_the_desk.post(url(job), data)
    assert answer.status_code == 422
    assert "Tower riser, ambient f: 185 F is too hot for 75 C insulation." in answer.content.decode()


def test_a_name_from_outside_is_shown_as_text(at_the_desk, job):
    make_station(job, runs=[RISER | {"name": "<script>alert(1)</script> Zufahrt Süd"}])
    page = at_the_desk.get(url(job)).content.decode()
    assert "<script>alert(1)" not in page and "Zufahrt Süd" in page


def test_the_page_has_no_inline_style_or_script(at_the_desk, job):
    make_station(job)
    page = at_the_desk.get(url(job)).content.decode()
    assert " style=" not in page and "<style" not in page
    assert "<script>" not in page and "hx-on" not in page


@pytest.mark.parametrize(
    ("role", "status"), [("foreman", 403), ("crew", 403), ("electrician", 302), ("engineer", 302)]
)
def test_electricians_engineers_and_the_office_edit(client, job, role, status):
    person = make_person("Dell Mercer", role)
    job = make_job(members=(person,))
    draft = make_station(job)
    client.force_login(person)
    assert client.get(url(job)).status_code == 200
    assert client.post(url(job), posted(draft, do="keep")).status_code == status


def test_the_electrician_saves_and_is_told_who_releases(client):
    """What a packet for the building department stands on is released by the office or the engineer."""
    person = make_person("Dell Mercer", "electrician")
    job = make_job(members=(person,))
    draft = make_station(job)
    client.force_login(person)
    assert client.post(url(job), posted(draft, do="keep")).status_code == 302
    page = client.get(url(job)).content.decode()
    assert 'value="keep"' in page and 'value="release"' not in page
    assert "it can be released, by office or engineer." in " ".join(page.split())
    assert client.post(url(job), posted(draft, do="release")).status_code == 403
    assert not job.revisions.exists()
    client.force_login(alma())
    page = client.get(url(job)).content.decode()
    assert 'value="release"' in page and "it can be released." in " ".join(page.split())


def test_a_stranger_finds_no_job(client, job):
    client.force_login(make_person("Cleo Stranger", "electrician"))
    assert client.get(url(job)).status_code == 404


def test_a_draft_with_an_open_check_is_released_only_with_the_engineers_word(job):
    office, engineer = alma(), make_person("Rhea Kowal", "engineer")
    draft = make_station(job, surge="none")
    found = review(draft)

    def release():
        return release_design(
            job, "ground_station", draft.inputs(), found.results, found.checks, by=office, at=AT
        )

    with pytest.raises(ValidationError, match="Surge protective device: fails"):
        release()
    open_check = next(c for c in found.checks if not c.passes)
    accept_draft_check(
        job, "ground_station", draft.inputs(), open_check, "Type 1 in the meter", by=engineer, at=AT
    )
    assert release().letter == "A"
