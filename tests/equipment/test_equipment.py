"""Cranes, wrenches, slings: what is valid on a day, and the office's pages."""

from datetime import date, timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from installs.equipment.models import Crane, EquipmentRecord, LoadChart, Sling, Wrench
from installs.equipment.services import add_record, archive
from tests.make import AT, alma, as_drawn, make_person

pytestmark = pytest.mark.django_db
DAY = date(2031, 5, 29)
CRANE = {
    "name": "55-ton truck crane",
    "unit_number": "T-55",
    "owner_firm": "",
    "weight_lb": "86800",
    "pin_height_ft": "9",
    "pin_behind_ft": "5",
    "boom_depth_ft": "2.5",
    "block_height_ft": "4",
    "two_block_ft": "5",
    "across_ft": "22",
    "along_ft": "21",
    "float_ft": "2",
    "tail_swing_ft": "13",
}


def wrench(**fields: object) -> Wrench:
    given = {"serial": "W-7", "name": "click wrench", "low_ft_lb": 50, "high_ft_lb": 250, **fields}
    return Wrench.objects.create(**given)


def calibrated(thing: Wrench, done: date, expires: date | None) -> EquipmentRecord:
    given = {"done_on": done, "expires_on": expires, "reference": "C-4471"}
    return add_record(thing, given, by=alma(), at=AT)


def test_nothing_on_record_is_not_valid() -> None:
    assert not wrench().valid_on(DAY)
    assert wrench(serial="W-8").standing(DAY).words == "no calibration on record"


def test_valid_to_the_last_day_and_not_after() -> None:
    tool = wrench()
    calibrated(tool, date(2030, 6, 1), DAY)
    assert tool.valid_on(DAY)
    assert tool.standing(DAY).soon
    assert not tool.valid_on(DAY + timedelta(1))
    assert "expired May 29, 2031" in tool.standing(DAY + timedelta(1)).words


def test_without_an_expiry_date_it_is_not_valid() -> None:
    tool = wrench()
    calibrated(tool, date(2031, 5, 1), None)
    assert not tool.valid_on(DAY)


def test_a_calibration_made_later_does_not_reach_back() -> None:
    tool = wrench()
    calibrated(tool, DAY + timedelta(1), date(2032, 5, 29))
    assert not tool.valid_on(DAY)


def test_an_archived_record_no_longer_counts() -> None:
    tool = wrench()
    archive(calibrated(tool, date(2031, 1, 1), date(2032, 1, 1)), DAY, by=alma(), at=AT)
    assert not tool.valid_on(DAY)
    assert tool.records.count() == 1


def test_a_record_belongs_to_exactly_one_thing() -> None:
    from django.db import IntegrityError, transaction

    with pytest.raises(IntegrityError), transaction.atomic():
        EquipmentRecord.objects.create(done_on=DAY, recorded_by=alma(), recorded_at=AT)


@pytest.mark.parametrize("role", ["foreman", "crew", "electrician", "engineer"])
def test_only_the_office_keeps_equipment(client, role: str) -> None:
    client.force_login(make_person("Uma Role", role))
    assert client.get(reverse("equipment")).status_code == 403
    assert client.post(reverse("crane-add"), {**CRANE, "save": "save"}).status_code == 403
    assert not Crane.objects.exists()


def crane_page(client) -> str:
    client.force_login(alma())
    client.post(reverse("crane-add"), {**CRANE, "save": "save"})
    return reverse("crane", args=[Crane.objects.get().pk])


CHART = {
    "chart-configuration": "outriggers full out, 360 degrees",
    "chart-gust": "30",
    "chart-gust_unit": "mph",
    "chart-length_unit": "ft",
    "chart-weight_unit": "lb",
    "add-chart": "add",
}


def test_a_crane_with_its_chart_and_inspection(client) -> None:
    page = crane_page(client)
    pasted = "radius_ft,130,145\n35,18000,16000\n40,17000,15200\n"
    assert client.post(page, {**CHART, "chart-pasted": pasted}).status_code == 302
    record = {
        "record-done_on": "2031-02-03",
        "record-expires_on": "2032-02-03",
        "record-reference": "AI-31",
        "add-record": "add",
    }
    assert client.post(page, record).status_code == 302
    crane = Crane.objects.get()
    assert crane.valid_on(DAY)
    assert [r.capacity_lb for r in crane.charts.get().figures if r.boom_ft == 145] == [16_000, 15_200]
    assert b"15,200" in client.get(page).content
    assert b"T-55" in client.get(reverse("equipment")).content


def test_a_chart_comes_as_a_file_and_reads_back(client) -> None:
    page = crane_page(client)
    file = SimpleUploadedFile("chart.csv", b"radius_ft,130\n35,18000\n")
    assert client.post(page, {**CHART, "chart-file": file}).status_code == 302
    sent = client.get(reverse("load-chart-csv", args=[LoadChart.objects.get().pk]))
    assert sent.content == b"radius_ft,130\n35,18000\n"


def test_a_bad_chart_keeps_what_was_typed_and_saves_nothing(client) -> None:
    page = crane_page(client)
    answer = client.post(page, {**CHART, "chart-pasted": "radius_ft,130\n35,lots\n"})
    assert answer.status_code == 422
    assert b"lots is not a number" in answer.content
    assert b"35,lots" in answer.content
    assert not LoadChart.objects.exists()


def test_a_page_in_meters_and_tonnes_is_asked_for_and_turned_into_ours(client) -> None:
    """1 t = 2,204.6 lb, 1 m = 3.2808 ft, 13.4 m/s = 30 mph; a capacity is cut down, never up."""
    page = crane_page(client)
    metric = {
        "chart-length_unit": "m",
        "chart-weight_unit": "t",
        "chart-gust": "13.4",
        "chart-gust_unit": "m/s",
    }
    sent = {**CHART, **metric, "chart-pasted": "radius_m,40\n10,8.1\n12,6.5*\n"}
    assert client.post(page, sent).status_code == 302
    chart = LoadChart.objects.get()
    assert chart.printed_in == "m, t" and chart.gust_mph == 29.9
    assert [(r.boom_ft, r.radius_ft, r.capacity_lb, r.mark) for r in chart.figures] == [
        (131.23, 32.81, 17_857.0, ""),
        (131.23, 39.37, 14_330.0, "*"),
    ]


@pytest.mark.parametrize("left_out", ["length_unit", "weight_unit", "gust_unit", "gust"])
def test_no_unit_of_a_chart_is_taken_for_granted(client, left_out: str) -> None:
    page = crane_page(client)
    sent = {**CHART, f"chart-{left_out}": "", "chart-pasted": "radius_ft,130\n35,18000\n"}
    assert client.post(page, sent).status_code == 422
    assert not LoadChart.objects.exists()


def test_a_head_in_meters_under_feet_is_refused(client) -> None:
    page = crane_page(client)
    answer = client.post(page, {**CHART, "chart-pasted": "radius_m,40\n10,8100\n"})
    assert answer.status_code == 422 and b"the unit chosen beside it is ft" in answer.content


def test_a_longer_boom_that_carries_more_is_asked_and_kept_when_read_again(client) -> None:
    """At one radius a longer boom is heavier and carries less: common practice, no source."""
    page = crane_page(client)
    sent = {**CHART, "chart-pasted": "radius_ft,130,145\n35,16000,16900\n"}
    answer = client.post(page, sent)
    assert answer.status_code == 422 and b"145 ft boom carries 16,900 lb" in answer.content
    assert not LoadChart.objects.exists()
    assert client.post(page, {**sent, "chart-as_printed": "on"}).status_code == 302


def test_a_star_stays_with_its_figure(client) -> None:
    page = crane_page(client)
    assert (
        client.post(page, {**CHART, "chart-pasted": "radius_ft,130\n35,18000*\n40,16000\n"}).status_code
        == 302
    )
    chart = LoadChart.objects.get()
    assert [(r.capacity_lb, r.mark) for r in chart.figures] == [(18_000, "*"), (16_000, "")]
    assert b"18,000*" in client.get(page).content
    assert (
        client.get(reverse("load-chart-csv", args=[chart.pk])).content
        == b"radius_ft,130\n35,18000*\n40,16000\n"
    )


def test_a_huge_file_is_refused_at_its_field(client, settings) -> None:
    settings.UPLOAD_LIMIT_BYTES = 1000
    page = crane_page(client)
    file = SimpleUploadedFile("chart.csv", b"x" * 5000)
    answer = client.post(page, {**CHART, "chart-file": file})
    assert answer.status_code == 422 and b"at most" in answer.content


@pytest.mark.parametrize(
    ("name", "fields", "said"),
    [
        ("crane-add", {**CRANE, "weight_lb": "nan"}, "Enter a number"),
        ("crane-add", {**CRANE, "weight_lb": "868"}, "too small"),
        ("crane-add", {**CRANE, "boom_depth_ft": "30"}, "Typed in inches?"),
        ("crane-add", {**CRANE, "name": ""}, "required"),
        ("wrench-add", {"serial": "1", "name": "w", "low_ft_lb": "50", "high_ft_lb": "20"}, "ends above"),
        ("sling-add", {"tag": "R-1", "kind": "string", "rating_lb": "5000"}, "Select a valid choice"),
        ("sling-add", {"tag": "R-1", "kind": "chain", "rating_lb": "1e99"}, "too large"),
    ],
)
def test_bad_figures_are_named_at_their_field(client, name: str, fields: dict[str, str], said: str) -> None:
    client.force_login(alma())
    answer = client.post(reverse(name), {**fields, "save": "save"})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not (Crane.objects.exists() or Wrench.objects.exists() or Sling.objects.exists())


def test_the_same_tag_twice_is_said_at_its_field(client) -> None:
    client.force_login(alma())
    tag = {"tag": "R-31", "kind": "roundsling", "rating_lb": "11200", "save": "save"}
    assert client.post(reverse("sling-add"), tag).status_code == 302
    assert client.post(reverse("sling-add"), tag).status_code == 422
    assert Sling.objects.count() == 1


def test_archived_equipment_leaves_the_list_and_stays_on_record(client) -> None:
    page = crane_page(client)
    client.post(f"{page}archive/", as_drawn(client, page, f"{page}archive/"))
    assert Crane.objects.get().archived_on is not None
    assert b"T-55" not in client.get(reverse("equipment")).content
    assert client.get(page).status_code == 200


def test_equipment_list_asks_a_constant_number_of_queries(client, django_assert_max_num_queries) -> None:
    client.force_login(alma())
    for n in range(8):
        calibrated(wrench(serial=f"W-{n}"), date(2031, 1, 1), date(2032, 1, 1))
    with django_assert_max_num_queries(10):
        client.get(reverse("equipment"))
