"""Whatever changes a row of the firm writes a line of the firm's log: who, what, from, to."""

from __future__ import annotations

import uuid
from datetime import date

import pytest
from django.urls import reverse

from crew.plan.models import Crew
from installs.checklists.models import Device
from installs.equipment.models import Crane, EquipmentRecord, LoadChart, Wrench
from installs.jobs.services import add_member, change_job
from installs.people.firm_log import firm_log_faults
from installs.people.models import Certificate, Firm, FirmEvent, User
from installs.turbine.models import TurbineModel
from tests.make import AT, alma, as_drawn, make_job, make_person, press

pytestmark = pytest.mark.django_db
PERSON = {
    "full_name": "Gus Pruitt",
    "initials": "GP",
    "username": "gus",
    "role": "crew",
    "firm_name": "",
    "phone": "",
    "password": "",
    "save": "save",
}
WRENCH = {"serial": "W-7", "name": "click wrench", "low_ft_lb": "50", "high_ft_lb": "250", "save": "save"}


@pytest.fixture
def office(client) -> User:
    person = alma()
    client.force_login(person)
    return person


def verbs() -> list[str]:
    assert firm_log_faults(FirmEvent.objects.order_by("sequence")) == []
    return list(FirmEvent.objects.values_list("verb", flat=True))


def last() -> FirmEvent:
    return FirmEvent.objects.latest("sequence")


def test_a_person_with_role_and_password(client, office) -> None:
    press(client, reverse("person-add"), PERSON)
    gus = User.objects.get(username="gus")
    page = reverse("person", args=[gus.pk])
    assert verbs() == ["person added"] and last().by == office and last().address == "127.0.0.1"
    press(client, page, {**PERSON, "role": "foreman", "phone": "555-0113"})
    assert last().data["changed"] == {"role": ["crew", "foreman"], "phone": ["", "555-0113"]}
    assert last().what == "Gus Pruitt: role crew to foreman; phone none to 555-0113."
    press(client, page, {**PERSON, "role": "foreman", "phone": "555-0113"})
    assert len(verbs()) == 2, "nothing changed, nothing to say"
    press(
        client, page, {**PERSON, "role": "foreman", "phone": "555-0113", "password": "blue heron 4471 dusk"}
    )
    assert verbs()[2:] == ["person changed", "password set", "sessions ended"]
    assert last().data == {"person": gus.pk, "sessions": 0}
    said = str(list(FirmEvent.objects.values("what", "data")))
    gus.refresh_from_db()
    assert "heron" not in said and gus.password not in said, "that it was set, not what it is"
    press(client, reverse("person-archive", args=[gus.pk]), page=page)
    gus.refresh_from_db()
    assert verbs()[-1] == "person archived" and gus.archived_by == office and not gus.is_active
    assert {line.data["person"] for line in FirmEvent.objects.all()} == {gus.pk}


def test_what_a_form_refuses_leaves_no_line(client, office) -> None:
    assert press(client, reverse("person-add"), {**PERSON, "username": "not a name"}).status_code == 422
    page = reverse("person", args=[office.pk])
    assert press(client, reverse("person-archive", args=[office.pk]), page=page).status_code == 302
    assert verbs() == []


def test_a_card_with_who_recorded_and_who_archived_it(client, office) -> None:
    ben = make_person()
    card = {"kind": "rigger", "number": "R-1", "issued_on": "", "expires_on": "2032-06-12", "add-card": "add"}
    page = reverse("person", args=[ben.pk])
    press(client, page, card)
    kept = Certificate.objects.get()
    assert (kept.recorded_by, kept.carried_over) == (office, False) and kept.recorded_at
    assert last().what == "Card added: qualified rigger of Ben Osgood, R-1, to Jun 12, 2032."
    assert last().data["person"] == ben.pk and last().data["changed"]["number"] == [None, "R-1"]
    drawn = as_drawn(client, page, reverse("card-archive", args=[kept.pk]))
    for _ in range(2):
        client.post(reverse("card-archive", args=[kept.pk]), drawn)
    kept.refresh_from_db()
    assert kept.archived_by == office and verbs() == ["card added", "card archived"]


def test_the_settings_of_the_firm(client, office) -> None:
    Firm.objects.create(pk=1, name="Plum Wind")
    settings = {"name": "Plum Wind", "stop_word": "halt", "critical_percent": "75", "most_percent": "80"}
    assert press(client, reverse("firm"), settings).status_code == 302
    assert last().data["changed"] == {"stop_word": ["stop", "halt"], "most_percent": [85, 80]}
    assert "no lift above 85 to 80 %" in last().what


def test_equipment_its_records_and_charts(client, office) -> None:
    press(client, reverse("wrench-add"), WRENCH)
    wrench = Wrench.objects.get()
    page = reverse("wrench", args=[wrench.pk])
    press(client, page, {**WRENCH, "high_ft_lb": "300"})
    assert last().what == "W-7, click wrench: range to 250 to 300 ft-lb."
    record = {"record-done_on": "2031-02-03", "record-expires_on": "2032-02-03", "record-reference": "C-1"}
    press(client, page, {**record, "add-record": "add"})
    kept = EquipmentRecord.objects.get()
    assert last().data["wrench"] == wrench.pk
    assert last().what == "Calibration added: W-7, click wrench, C-1, done Feb 3, 2031, to Feb 3, 2032."
    press(client, reverse("equipment-record-archive", args=[kept.pk]), page=page)
    press(client, reverse("wrench-archive", args=[wrench.pk]), page=page)
    assert verbs() == [
        "wrench added", "wrench changed", "calibration added", "calibration archived", "wrench archived",
    ]  # fmt: skip
    for row in (EquipmentRecord.objects.get(), Wrench.objects.get()):
        assert row.archived_by == office


def test_a_load_chart(client, office) -> None:
    crane = Crane.objects.create(
        name="55-ton truck crane", unit_number="T-55", weight_lb=86_800, pin_height_ft=9, pin_behind_ft=5,
        boom_depth_ft=2.5, across_ft=22, along_ft=21,
    )  # fmt: skip
    chart = {
        "chart-configuration": "outriggers full out", "chart-gust": "30", "chart-gust_unit": "mph",
        "chart-length_unit": "ft", "chart-weight_unit": "lb", "chart-pasted": "radius_ft,130\n35,18000\n",
        "add-chart": "add",
    }  # fmt: skip
    page = reverse("crane", args=[crane.pk])
    assert press(client, page, chart).status_code == 302
    press(client, reverse("load-chart-archive", args=[LoadChart.objects.get().pk]), page=page)
    assert verbs() == ["load chart added", "load chart archived"]
    assert LoadChart.objects.get().archived_by == office


def test_a_machine_of_the_catalogue(client, office) -> None:
    machine = TurbineModel.objects.create(
        name="Bluestem 15", rated_kw=15, rotor_diameter_ft=30, head_weight_lb=1340
    )
    frozen = machine.figures()
    page = reverse("turbine-model", args=[machine.pk])
    drawn = as_drawn(client, page, reverse("turbine-model-archive", args=[machine.pk]))
    for _ in range(2):
        client.post(reverse("turbine-model-archive", args=[machine.pk]), drawn)
    machine.refresh_from_db()
    assert machine.archived_by == office and machine.figures() == frozen
    drawn = as_drawn(client, page, reverse("turbine-model-take-back", args=[machine.pk]))
    for _ in range(2):
        client.post(reverse("turbine-model-take-back", args=[machine.pk]), drawn)
    assert verbs() == ["turbine model archived", "turbine model taken back"]


def test_crews_and_absences(client, office) -> None:
    ben, gus = make_person(), make_person("Gus Pruitt", "crew")
    press(client, reverse("crew-add"), {"name": "Pad crew", "foreman": ben.pk, "people": []})
    crew = Crew.objects.get()
    press(
        client, reverse("crew", args=[crew.pk]), {"name": "Pad crew", "foreman": ben.pk, "people": [gus.pk]}
    )
    assert last().data["changed"] == {"people": [[], ["Gus Pruitt"]]}
    away = {"person": gus.pk, "first_on": "2031-05-05", "last_on": "2031-05-06", "why": "calving"}
    press(client, reverse("absence-add"), away)
    assert verbs() == ["crew added", "crew changed", "absence added"]


def test_a_phone_whose_access_ends(client, office) -> None:
    phone = Device.objects.create(uuid=uuid.uuid4(), person=make_person(), heard_at=AT)
    press(client, reverse("phone-end", args=[phone.pk]), {"why": "lost in the pit"})
    assert verbs() == ["phone ended"] and "lost in the pit" in last().what


def test_who_comes_to_see_a_job() -> None:
    by, ben, engineer = alma(), make_person(), make_person("P. Lindqvist", "engineer")
    job = make_job(by=by, engineer=engineer)
    for _ in range(2):
        add_member(job, ben, by=by, at=AT)
    other = make_person("Q. Berg", "engineer")
    change_job(job, {"engineer": other}, by=by, at=AT)
    seen = [line.data["person"] for line in FirmEvent.objects.filter(verb="member added")]
    assert seen == [engineer.pk, ben.pk, other.pk]


def test_an_old_row_that_was_archived_by_nobody_known_stays(client, office) -> None:
    ben = make_person("Ben Osgood", is_active=False, archived_on=date(2030, 1, 1))
    assert b"archived Jan 1, 2030" in client.get(reverse("person", args=[ben.pk])).content
