"""Pages: the design page of a job's turbine, and the catalogue of machines."""

from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from installs.turbine.models import TurbineDesign, TurbineModel
from tests.make import alma, as_drawn, drawn_from, make_job, make_person
from tests.turbine.machines import make_model, make_turbine

pytestmark = pytest.mark.django_db

CSV = "speed_mph,power_kw\n7,0\n12,1.9\n20,9\n25,12\n"


def figures(**change: object) -> dict[str, object]:
    return {
        "name": "Marsh 12",
        "rated_kw": "12",
        "rotor_diameter_ft": "30",
        "blades": "3",
        "head_weight_lb": "1600",
        "hub_above_flange_ft": "2",
        "hub_ahead_ft": "3",
        "body_length_ft": "5",
        "body_height_ft": "2",
        "tail_ft": "0",
        "output": "wild AC, 3-phase",
        "regulates_speed": "unknown",
        "brake": "not known",
        "density_rule": "power",
        "curve_rows": CSV,
        **change,
    }


def design(machine: TurbineModel, **change: object) -> dict[str, object]:
    return {
        "model": machine.pk,
        "hub_ft": "114",
        "yaw_bolts": "12",
        "yaw_bolt_size": "3/4",
        "yaw_bolt_grade": "SAE 8",
        "yaw_torque_ft_lb": "260",
        "brake_method": "Switch closed",
        "lock_method": "Two pins",
        **change,
    }


def test_a_machine_is_added_changed_and_archived(client) -> None:
    client.force_login(alma())
    assert client.post(reverse("turbine-model-add"), figures()).status_code == 302
    model = TurbineModel.objects.get(name="Marsh 12")
    assert [row["speed_mph"] for row in model.curve] == [7, 12, 20, 25]
    page = client.get(reverse("turbine-model", args=[model.pk]))
    assert b"Front view" in page.content and b"12,1.9" in page.content
    page = reverse("turbine-model", args=[model.pk])
    client.post(page, {**figures(rated_kw="11.5"), **as_drawn(client, page)})
    model.refresh_from_db()
    assert model.rated_kw == 11.5
    archive = reverse("turbine-model-archive", args=[model.pk])
    client.post(archive, as_drawn(client, page, archive))
    model.refresh_from_db()
    assert model.archived_on is not None
    back = reverse("turbine-model-take-back", args=[model.pk])
    client.post(back, as_drawn(client, page, back))
    model.refresh_from_db()
    assert model.archived_on is None


def test_a_curve_is_read_from_a_file_and_given_back(client) -> None:
    client.force_login(alma())
    upload = SimpleUploadedFile("curve.csv", b"speed_m_s,power_w\n3,100\n5,900\n10,9000\n")
    client.post(reverse("turbine-model-add"), figures(curve_file=upload, curve_rows=""))
    model = TurbineModel.objects.get(name="Marsh 12")
    assert model.curve[2]["power_kw"] == 9.0
    given = client.get(reverse("turbine-curve-csv", args=[model.pk]))
    assert given.content.decode().splitlines()[0] == "speed_mph,power_kw"


@pytest.mark.parametrize(
    ("change", "field", "said"),
    [
        ({"curve_rows": ""}, "curve_rows", "empty"),
        ({"curve_rows": "speed_mph,power_kw\n7,0\n12,190\n20,400\n"}, "curve_rows", "more than any rotor"),
        ({"curve_rows": "speed_mph,power_kw\n7,0\n12,1900\n20,9000\n"}, "curve_rows", "Typed in W?"),
        (
            {"curve_file": SimpleUploadedFile("x.csv", b"\x89PNG\r\n\xff\xff")},
            "curve_file",
            "not a text file",
        ),
        ({"rotor_diameter_ft": "360"}, "rotor_diameter_ft", "too large"),
        ({"rated_kw": "nan"}, "rated_kw", "Enter a number"),
        ({"rated_kw": "12000"}, "rated_kw", "Typed in W?"),
        ({"blades": "0"}, "blades", "1 to 6"),
        ({"blades": "99999999999999999999"}, "blades", ""),
        ({"speed_low_rpm": "90", "speed_high_rpm": "60"}, "speed_high_rpm", "less than"),
        ({"name": ""}, "name", "required"),
        ({"name": "x" * 80}, "name", "60"),
        ({"head_weight_lb": "−5"}, "head_weight_lb", "too small"),
    ],
)
def test_bad_figures_are_said_at_their_field_and_nothing_is_kept(client, change, field, said) -> None:
    client.force_login(alma())
    answer = client.post(reverse("turbine-model-add"), figures(**change))
    assert answer.status_code == 422
    assert said in " ".join(answer.context["form"].errors[field])
    assert not TurbineModel.objects.exists()


def test_two_machines_of_one_name_are_refused(client) -> None:
    client.force_login(alma())
    make_model(name="Marsh 12")
    assert client.post(reverse("turbine-model-add"), figures()).status_code == 422


def test_the_page_of_a_job_without_a_machine(client) -> None:
    job = make_job()
    client.force_login(alma())
    page = client.get(reverse("turbine", args=[job.number]))
    assert page.status_code == 200
    assert b"No machine is chosen" in page.content


def test_choosing_a_machine_redraws_and_keeps_nothing_until_asked(client) -> None:
    job, model = make_job(), make_model()
    client.force_login(alma())
    url = reverse("turbine", args=[job.number])
    looked = client.post(url, {**design(model), "do": "look"}, headers={"HX-Request": "true"})
    assert looked.status_code == 200
    assert "blade tip 133 ft 0 in" in looked.content.decode()
    assert not TurbineDesign.objects.exists()
    kept = client.post(url, {**design(model), "do": "keep", **drawn_from(client, url)})
    assert kept.status_code == 302
    assert TurbineDesign.objects.get(job=job).hub_ft == 114.0


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"hub_ft": "1368"}, "hub_ft"),
        ({"hub_ft": "18"}, "hub_ft"),
        ({"yaw_bolts": "1"}, "yaw_bolts"),
        ({"yaw_bolt_size": "9/7"}, "yaw_bolt_size"),
        ({"yaw_torque_ft_lb": "inf"}, "yaw_torque_ft_lb"),
        ({"brake_method": "x" * 300}, "brake_method"),
        ({"model": "4711"}, "model"),
    ],
)
def test_bad_input_of_the_design_is_said_at_its_field(client, change, field) -> None:
    job, model = make_job(), make_model()
    client.force_login(alma())
    answer = client.post(reverse("turbine", args=[job.number]), {**design(model, **change), "do": "keep"})
    assert answer.status_code == 422
    assert answer.context["form"].errors[field]
    assert not TurbineDesign.objects.exists()


def test_an_archived_machine_stays_with_its_job_and_is_offered_to_no_other(client) -> None:
    job, other, model = make_job(), make_job(), make_model()
    make_turbine(job, model)
    client.force_login(alma())
    archive = reverse("turbine-model-archive", args=[model.pk])
    client.post(archive, as_drawn(client, reverse("turbine-model", args=[model.pk]), archive))
    assert b"Plum 19" in client.get(reverse("turbine", args=[job.number])).content
    taken = client.post(reverse("turbine", args=[other.number]), {**design(model), "do": "keep"})
    assert taken.status_code == 422


def test_the_crew_sees_the_turbine_and_changes_nothing(client) -> None:
    ben = make_person()
    job, model = make_job(members=(ben,)), make_model()
    client.force_login(ben)
    url = reverse("turbine", args=[job.number])
    assert client.get(url).status_code == 200
    assert client.post(url, {**design(model), "do": "keep"}).status_code == 403
    assert client.get(reverse("turbine-models")).status_code == 403
