"""The design page of a lift: drawn at once, nothing lost, nobody edits who may not."""

from uuid import uuid4

import pytest
from django.urls import reverse

from installs.jobs.old_page import page_of
from installs.lift.forms import LiftForm
from installs.lift.models import LiftDesign, LiftSignature
from tests.lift.kit import Kit
from tests.make import as_drawn, cleo, drawn_from

PAGES = ("lift", "turbine-lift")


def posted(lift: LiftDesign, do: str = "look", **changes: str) -> dict[str, str]:
    """The whole schedule as the browser sends it."""
    form = LiftForm(instance=lift)
    data = {**page_of(lift), "do": do}
    for name, field in form.fields.items():
        value = form[name].value()
        if name == "corners":
            for i, row in enumerate(value):
                data |= {f"corners-{i}-{k}": str(v) for k, v in row.items()}
        elif value is not None and value is not False and value != "":
            data[name] = str(field.prepare_value(value))
    return {**data, **changes}


@pytest.mark.parametrize("name", PAGES)
def test_both_pages_show_drawing_and_notes(client, kit: Kit, name: str) -> None:
    client.force_login(kit.office)
    text = client.get(reverse(name, args=[kit.job.number])).content.decode()
    assert 'class="drawing"' in text and "Elevation of the" in text
    assert "a standard lift" in text


def test_an_empty_draft_is_a_page_and_nothing_passes(client, kit: Kit) -> None:
    LiftDesign.objects.all().delete()
    client.force_login(kit.office)
    answer = client.get(reverse("lift", args=[kit.job.number]))
    assert answer.status_code == 200
    assert "Passes" not in answer.content.decode()


def test_changing_a_number_redraws_without_keeping(client, kit: Kit) -> None:
    client.force_login(kit.office)
    page = reverse("lift", args=[kit.job.number])
    answer = client.post(page, posted(kit.lift, radius_ft="42"), headers={"HX-Request": "true"})
    assert answer.status_code == 200
    assert "50 ft row" in answer.content.decode()
    assert LiftDesign.objects.get(pk=kit.lift.pk).figures.radius_ft == 35


def test_keeping_works_as_a_plain_form(client, kit: Kit) -> None:
    client.force_login(kit.office)
    page = reverse("lift", args=[kit.job.number])
    assert client.post(page, posted(kit.lift, "keep", radius_ft="36")).status_code == 302
    assert LiftDesign.objects.get(pk=kit.lift.pk).figures.radius_ft == 36


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("radius_ft", "nan", "Enter a number"),
        ("radius_ft", "4200", "too large"),
        ("boom_ft", "38", "lies"),
        ("weight_lb", "6.48", "too small"),
        ("line_parts", "2.5", "whole number"),
        ("weather_day", "2031-05-01", "comes after"),
        ("operator", "999999", "Select a valid choice"),
        ("corners-0-out_ft", "wide", "Row 1"),
        ("stop_gust_mph", "１７ｍｐｈ", "Enter a number"),
        ("line_kv", "x" * 5000, "Enter a number"),
        ("lift_on", "soon", "valid date"),
    ],
)
def test_bad_figures_are_named_and_kept_on_the_page(
    client, kit: Kit, field: str, typed: str, said: str
) -> None:
    client.force_login(kit.office)
    page = reverse("lift", args=[kit.job.number])
    answer = client.post(page, posted(kit.lift, "keep", **{field: typed}))
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert LiftDesign.objects.get(pk=kit.lift.pk).figures.radius_ft == 35


def test_a_chart_of_another_crane_is_refused(client, kit: Kit) -> None:
    other = kit.crane
    other.pk, other.unit_number = None, "T-99"
    other.save()
    client.force_login(kit.office)
    page = reverse("lift", args=[kit.job.number])
    answer = client.post(page, posted(kit.lift, "keep", crane=str(other.pk)))
    assert answer.status_code == 422 and b"belongs to T-55" in answer.content


def test_who_may_see_and_edit(client, kit: Kit) -> None:
    page = reverse("lift", args=[kit.job.number])
    client.force_login(kit.people["foreman"])
    assert client.get(page).status_code == 200
    assert client.post(page, posted(kit.lift, "keep")).status_code == 403
    client.force_login(cleo())
    assert client.get(page).status_code == 404


def test_release_and_sign_from_the_page(client, kit: Kit) -> None:
    page = reverse("lift", args=[kit.job.number])
    client.force_login(kit.office)
    assert client.post(page, {"do": "release", **drawn_from(client, page)}).status_code == 302
    client.force_login(kit.people["lift_director"])
    assert "Sign plan A as lift director" in client.get(page).content.decode()
    signing = reverse("lift-sign", args=[kit.job.number])
    read = {**as_drawn(client, page, signing), "letter": "A", "role": "lift director"}
    client.post(signing, read)
    assert LiftSignature.objects.get().person == kit.people["lift_director"]
    client.force_login(kit.people["foreman"])
    answer = client.post(signing, {**read, "form_id": str(uuid4())}, follow=True)
    assert LiftSignature.objects.count() == 1
    assert answer.status_code == 409 and b"none yet" in answer.content


def test_a_critical_lift_is_released_only_with_an_engineers_acceptance(client, kit: Kit) -> None:
    kit.lift.change(critical_because="two cranes")
    kit.lift.save()
    client.force_login(kit.office)
    page = reverse("lift", args=[kit.job.number])
    answer = client.post(page, {"do": "release", **drawn_from(client, page)})
    assert answer.status_code == 422 and b"Critical lift" in answer.content
    assert not kit.job.revisions.exists()
