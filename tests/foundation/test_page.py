"""The foundation's design page: redraw, keep, refuse, release."""

from __future__ import annotations

import re

import pytest
from django.core.exceptions import ValidationError

from installs.foundation.drawing import paper_drawings
from installs.foundation.forms import FoundationForm
from installs.foundation.marks import place_of
from installs.foundation.models import FoundationDesign
from installs.foundation.review import review
from installs.jobs.services import release_design
from tests.foundation.make_foundation import make_foundation, posted, release
from tests.make import AT, alma, cleo, make_person

pytestmark = pytest.mark.django_db


def url(job):
    return f"/jobs/{job.number}/foundation/"


def test_a_job_without_a_draft_has_a_page_on_which_nothing_unknown_passes(at_the_desk, job):
    page = at_the_desk.get(url(job)).content.decode()
    for title in ("Bearing", "Contact", "Overturning", "Sliding", "Buoyancy", "Frost depth"):
        assert f"<strong>{title}.</strong>" in page
    assert "disabled>Release this draft" in page
    assert "legs not given" in page


def test_the_page_draws_plan_and_section_with_every_balloon(at_the_desk, job):
    make_foundation(job)
    page = at_the_desk.get(url(job)).content.decode()
    drawing = page[page.index('<figure class="drawing-frame"') : page.index("</figure>")]
    assert "Plan at top of pad" in drawing and "Section A-A" in drawing and "scale 1 in =" in drawing
    for number in range(1, 15):
        assert f">{number}</text>" in drawing
    assert "17 ft 0 in" in drawing and "4 ft 6 in" in drawing  # side; edge to leg
    assert "Options that pass" in page and "Least concrete with frost at" in page


def test_nothing_on_the_page_is_styled_or_scripted_inline(at_the_desk, job):
    make_foundation(job)
    page = at_the_desk.get(url(job)).content.decode()
    assert not re.search(r"\sstyle=|<style|\son[a-z]+=", page)


def test_changing_a_number_redraws_at_once_and_keeps_nothing(at_the_desk, job):
    draft = make_foundation(job)
    data = posted(draft, do="look", frost_ft="5")
    page = at_the_desk.post(url(job), data, headers={"HX-Request": "true"}).content.decode()
    assert "Bottom of pad 3.5 ft below grade, 5 ft required." in page
    assert "<html" not in page
    draft.refresh_from_db()
    assert draft.figures.frost_ft == 3.5


def redrawn(at_the_desk, job, draft, **typed):
    data = posted(draft, do="look", **typed)
    return at_the_desk.post(url(job), data, headers={"HX-Request": "true"}).content.decode()


def test_the_place_that_fails_is_ringed_while_it_fails(at_the_desk, job):
    draft = make_foundation(job)
    assert "layer-ring" not in at_the_desk.get(url(job)).content.decode()
    assert redrawn(at_the_desk, job, draft, frost_ft="5").count("layer-ring") == 1


def test_where_much_fails_the_worst_places_are_ringed_and_no_more(at_the_desk, job):
    draft = make_foundation(job)
    page = redrawn(at_the_desk, job, draft, side_ft="10", thickness_ft="3", frost_ft="9", cover_lower_in="1")
    assert 2 <= page.count("layer-ring") <= 4
    release(draft, make_person("Rhoda Kell, PE", "engineer"))
    paper = paper_drawings(draft.figures, review(draft).results)
    assert not any("layer-ring" in svg or "as released" in svg for svg in paper.values())


def test_the_released_pad_stands_behind_a_draft_that_is_another(at_the_desk, job):
    draft = make_foundation(job)
    said = "dashed: as released, A"
    assert said not in redrawn(at_the_desk, job, draft, side_ft="15")
    release(draft, make_person("Rhoda Kell, PE", "engineer"))
    assert said not in at_the_desk.get(url(job)).content.decode()
    assert said in redrawn(at_the_desk, job, draft, side_ft="15")
    assert said in redrawn(at_the_desk, job, draft, thickness_ft="4.5")


def test_every_check_of_the_foundation_has_its_place_or_is_of_the_pad_as_a_whole(job):
    whole = {"anchor-fatigue", "anchor-pretension", "least strength"}
    keys = {check.key for check in review(make_foundation(job)).checks}
    assert {key for key in keys - whole if place_of(key) is None} == set()


def test_without_javascript_the_same_form_redraws_the_whole_page(at_the_desk, job):
    page = at_the_desk.post(
        url(job), posted(make_foundation(job), do="look", side_ft="18' 6\"")
    ).content.decode()
    assert "<html" in page and "18 ft 6 in" in page


def test_keep_saves_and_writes_the_log(at_the_desk, job):
    draft = make_foundation(job)
    data = posted(draft, do="keep", thickness_ft="4.5", **{"note-soil": "test pit"})
    assert at_the_desk.post(url(job), data).status_code == 302
    draft.refresh_from_db()
    assert draft.figures.thickness_ft == 4.5 and draft.notes == {"soil": "test pit"}
    assert "thickness ft" in job.events.last().what


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("thickness_ft", "48", "Typed in inches?"),
        ("side_ft", "nan", "Enter a number"),
        ("side_ft", "seventeen", "Enter a number"),
        ("side_ft", "", "required"),
        ("bars", "1", "at least 2 bars"),
        ("bars", "9" * 30, "at most 200 bars"),
        ("soil", "quicksand", "not one of the available choices"),
        ("moment_kip_ft", "1e400", "Enter a number"),
        ("cover_upper_in", "44", "leaves no room"),
        ("top_above_grade_ft", "4", "above grade"),
        ("leg_spacing_ft", "16.9", "past the edge"),
    ],
)
def test_bad_input_is_said_at_its_field_and_nothing_is_lost(at_the_desk, job, field, typed, said):
    draft = make_foundation(job)
    answer = at_the_desk.post(url(job), posted(draft, do="keep", fc_psi="5000", **{field: typed}))
    page = answer.content.decode()
    assert answer.status_code == 422
    fault = re.search(rf'id="fault-{field}" class="faults">(.*?)</div>', page, re.S)
    assert fault and "errorlist" in fault[1] and said in fault[1]
    assert 'value="5000"' in page
    draft.refresh_from_db()
    assert draft.figures.fc_psi == 4500


def test_the_crew_sees_but_does_not_change(client, job):
    make_foundation(job)
    member = cleo()
    client.force_login(member)
    assert client.get(url(job)).status_code == 404
    job.members.create(person=member, since=AT)
    assert client.get(url(job)).status_code == 200
    draft = FoundationDesign.objects.get(job=job)
    assert client.post(url(job), posted(draft, do="keep", side_ft="20")).status_code == 403


def test_release_needs_an_answer_to_every_check(job):
    draft = make_foundation(job)
    found = review(draft)
    with pytest.raises(ValidationError) as refused:
        release_design(job, "foundation", draft.inputs(), found.results, found.checks, by=alma(), at=AT)
    assert any("Fatigue" in message for message in refused.value.messages)
    revision = release(draft, make_person("Rhoda Kell", "engineer"))
    assert revision.letter == "A"
    assert {a.check_key for a in revision.acceptances.all()} == {"anchor-fatigue"}


def test_a_figure_that_differs_from_the_release_says_so(at_the_desk, job):
    draft = make_foundation(job)
    release(draft, make_person("Rhoda Kell", "engineer"))
    draft.change(frost_ft=4.5).save()
    page = at_the_desk.get(url(job)).content.decode()
    assert "released: 3.5 ft" in page and "Release A is in force" in page


def test_the_schedule_stands_under_its_headings_and_holds_every_figure_once(at_the_desk, job):
    draft = make_foundation(job)
    lines = list(FoundationForm(instance=draft).schedule())
    names = [line.field.name for line in lines]
    assert sorted(names) == sorted(FoundationForm(instance=draft).fields)
    headings = [line.heading for line in lines if line.heading]
    assert headings == ["Pad", "Pedestal", "Bars", "Anchor bolts", "Ground", "Loads", "Code"]
    assert all(line.balloon for line in lines[: names.index("outline")])
    html = at_the_desk.get(url(job)).content.decode()
    assert re.findall(r'<h3 class="further">([^<]+)', html) == headings
    assert "Further inputs" not in html


def test_an_empty_choice_says_what_it_stands_for(job):
    form = FoundationForm(instance=make_foundation(job))
    for name in ("pedestal", "upper_bar_size", "edge_bar_size", "soil", "base", "load_kind"):
        value, words = form.fields[name].choices[0]
        assert value == "" and words.strip("-")
