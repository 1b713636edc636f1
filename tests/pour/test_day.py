"""The day of the pour: ready list and its clocks, the plant's order, and what the engineer must answer."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError

from installs.checklists.taking import take_entry
from installs.gates.services import gate_now
from installs.jobs.services import answer_deviation, release_design
from installs.pour.pour_day import pour_day
from installs.pour.record_words import load_record
from installs.pour.review import load_cures, review
from installs.pour.services import record_temperature, record_truck
from tests.pour.conftest import POUR, ticket
from tests.pour.test_record import keep_notice

pytestmark = pytest.mark.django_db
CALLED = POUR - timedelta(hours=1)


def tell(job, by, at, code: str, **fields):
    return take_entry(job, by=by, received_at=at, taken_at=at, code=code, **fields).entry


def call(job, by, at, when=CALLED):
    return tell(job, by, at, "D20", text="first truck", data={"for": when.isoformat()})


def lines(job, at):
    return {line.title: line for line in pour_day(job, load_record(job, at)).lines}


def titles(job) -> set[str]:
    return {d.title for d in job.deviations.all()}


def test_nothing_is_ready_of_which_nothing_is_known(job, released):
    found = lines(job, POUR - timedelta(days=3))
    assert {line.state for line in found.values()} == {"open"}
    assert "footing inspection not recorded" in found["Gate"].words


def test_the_clock_of_a_notice_runs_from_the_hour_called_for(job, released, foreman):
    """24 h before the first truck (the job's figure; common practice, no source)."""
    at = CALLED - timedelta(hours=30)
    call(job, foreman, at)
    assert "6 h left" in lines(job, at)["Inspector told"].words
    assert lines(job, at + timedelta(hours=7))["Inspector told"].state == "late"
    tell(job, foreman, at + timedelta(hours=1), "D15", text="Dana Moe, county")
    assert lines(job, at + timedelta(hours=7))["Inspector told"].state == "ready"
    tell(job, foreman, at + timedelta(hours=10), "D17", text="Harrow Testing")
    late = lines(job, at + timedelta(hours=11))["Testing lab booked"]
    assert late.state == "late"
    assert "4 h short of 24 h" in late.words


def test_the_order_gives_yards_strength_temperatures_and_spacing(job, released, foreman):
    """Cold air asks for heated mix: 42 in section, 20 F, 55 to 70 F at the plant (ACI 306R table 5.1,
    from memory)."""
    at = CALLED - timedelta(hours=30)
    call(job, foreman, at)
    tell(job, foreman, at, "D06", subject="air", number=28.0, unit="F", data={"low_f": 20.0})
    text = "\n".join(pour_day(job, load_record(job, at)).order)
    for said in ("37.5 yd3 in 4 trucks", "4,500 psi at 28 days", "30 min apart", "COLD WEATHER, air to 20 F",
                 "55 to 70 F at the plant", "Thursday, April 24, 2031, 8:00 AM"):  # fmt: skip
        assert said in text


def test_in_the_cold_thawing_and_heat_are_asked_for(job, released, foreman):
    at = CALLED - timedelta(hours=4)
    call(job, foreman, at)
    tell(job, foreman, at, "D06", subject="air", number=28.0, unit="F", data={"low_f": 20.0})
    assert lines(job, at)["Heat and covers"].state == "open"
    for place, temp in (("ground", 35.0), ("form", 31.0), ("steel", 36.0)):
        tell(job, foreman, at, "D19", subject=place, number=temp, unit="F")
    assert lines(job, at)["Thawed"].state == "late"
    tell(job, foreman, at, "D19", subject="form", number=38.0, unit="F")
    assert lines(job, at)["Thawed"].state == "ready"
    # what was read yesterday says nothing of this morning
    call(job, foreman, at, CALLED + timedelta(days=2))
    assert lines(job, at)["Thawed"].state == "open"


def test_too_few_days_of_protection_planned_are_said_before_the_first_truck(
    job, draft, released, foreman, office
):
    """6 days in the cold (ACI 306R table 7.1, from memory)."""
    at = CALLED - timedelta(hours=30)
    call(job, foreman, at)
    tell(job, foreman, at, "D06", subject="air", number=28.0, unit="F", data={"low_f": 20.0})
    assert "Protection planned" not in lines(job, at)
    draft.change(protection_days=3.0).save()
    again = review(draft)
    release_design(job, "pour", draft.inputs(), again.results, again.checks, by=office, at=at)
    line = lines(job, at)["Protection planned"]
    assert line.state == "late" and line.words.startswith("Too short: 3 days planned; at least 6 days")


def test_concrete_on_frozen_ground_leaves_a_deviation(job, released, foreman):
    tell(job, foreman, POUR, "D06", subject="air", number=25.0, unit="F")
    tell(job, foreman, POUR, "D19", subject="ground", number=30.0, unit="F")
    record_truck(job, ticket(1), by=foreman, at=POUR)
    assert "placed on frozen ground, form or steel" in titles(job)


def test_too_long_between_two_loads_is_the_engineers(job, released, foreman, office, engineer):
    record_truck(job, ticket(1), by=foreman, at=POUR)
    late = ticket(2)
    late = {**late, "batched": late["batched"] + timedelta(minutes=40),
            "discharged": late["discharged"] + timedelta(minutes=40)}  # fmt: skip
    record_truck(job, late, by=foreman, at=POUR + timedelta(hours=3))
    joint = job.deviations.get(title="joint between trucks 1 and 2")
    assert "85 min passed" in joint.what
    with pytest.raises(ValidationError, match="engineer decides"):
        answer_deviation(joint, "accept", "looks fine", by=office, at=POUR)
    with pytest.raises(ValidationError, match="letter"):
        answer_deviation(joint, "accept", "looks fine", by=office, at=POUR, engineer=engineer)
    answer_deviation(joint, "accept", "Roughened, dowelled.", by=engineer, at=POUR)
    assert not job.deviations.get(pk=joint.pk).is_open


def test_a_form_that_is_not_full_is_not_poured(job, released, foreman, engineer):
    at = POUR + timedelta(days=1)
    record_truck(job, ticket(1), by=foreman, at=POUR)
    assert any("9.5 of 35.3 yd³ on record" in m for m in load_cures([job], at)[job.pk].missing)
    tell(job, foreman, POUR, "D21", number=9.5, unit="yd3", text="Plant broke down; face roughened.")
    assert any("engineer has not answered" in m for m in load_cures([job], at)[job.pk].missing)
    stop = job.deviations.get(title="pour stopped at 9.5 yd³")
    answer_deviation(stop, "repair", "Second pour with dowels.", by=engineer, at=POUR)
    assert not any("stopped" in m for m in load_cures([job], at)[job.pk].missing)


@pytest.mark.parametrize("order", [(2900.0, 2600.0), (2600.0, 2900.0)])
def test_each_test_that_broke_low_on_one_day_is_answered_by_itself(poured, office, engineer, order):
    """3,375 psi are asked: whoever accepted 2,900 psi has not accepted 2,600 psi."""
    at = POUR + timedelta(days=28)
    for psi in order:
        keep_notice(poured, office, at, psi, psi, psi, age=28)
        low = poured.deviations.filter(title__contains="low break")
        assert f"{psi:,.0f} psi" in low.last().what
    assert low.count() == 2


def test_a_low_break_stands_until_an_engineer_answers(poured, office):
    """ACI 318-19 26.12.3.1(b), read in secondary copies: none under f'c - 500 psi at the designated age."""
    at = POUR + timedelta(days=29)
    keep_notice(poured, office, at, 3000, 3000, 3000, cure="lab", age=7)
    assert not any("low break" in t for t in titles(poured))
    keep_notice(poured, office, at, 3900, 3900, 3900, cure="lab", age=28)
    (low,) = [d for d in poured.deviations.all() if "low break" in d.title]
    assert "4,000 psi" in low.what
    assert low.engineer_decides


def test_poured_without_the_inspection_is_the_engineers(job, released, foreman):
    record_truck(job, ticket(1), by=foreman, at=POUR)
    closed = job.deviations.get(title="pour with its gate closed")
    assert "footing inspection not recorded" in closed.what
    assert closed.engineer_decides


def test_three_lab_tests_at_28_days_accept_the_concrete_for_the_turbine(poured, office):
    """ACI 318-19 26.12.3.1: every average of three at least f'c, none under f'c - 500 psi."""
    at = POUR + timedelta(days=30)
    for n, psi in enumerate((4300, 4700)):
        keep_notice(poured, office, at, psi + n, psi + n, psi + n, cure="lab", age=28)
    two = gate_now(poured, "turbine lift", at)
    assert any("2 tests, an average takes three" in m for m in two.missing)
    keep_notice(poured, office, at, 4600, 4600, 4600, cure="lab", age=28)
    assert load_cures([poured], at)[poured.pk].accepted
    assert not any("28-day" in m for m in gate_now(poured, "turbine lift", at).missing)


def test_field_cured_cylinders_do_not_accept_the_concrete(poured, office):
    at = POUR + timedelta(days=30)
    for psi in (5000, 5001, 5002):
        keep_notice(poured, office, at, psi, psi, psi, cure="field", age=28)
    assert not load_cures([poured], at)[poured.pk].accepted


def test_what_to_do_tonight_is_said_when_the_edge_cools(poured, foreman):
    at = POUR + timedelta(days=2)
    assert "never since the pour" in pour_day(poured, load_record(poured, at)).tonight.sentence
    for hour, temp in ((40, 58.0), (44, 54.0), (47, 51.0)):
        fields = {"sensor": "edge", "taken": POUR + timedelta(hours=hour), "temp": temp, "unit": "F"}
        record_temperature(poured, fields, by=foreman, at=at)
    assert "start the heat" in pour_day(poured, load_record(poured, at)).tonight.sentence


# --- on the phone -----------------------------------------------------------------------------------


def test_the_phone_records_what_the_day_waits_for(client, job, released, foreman):
    import uuid

    client.force_login(foreman)
    url = f"/day/{job.number}/pour/day/"
    assert "Not ready yet" in client.get(url).content.decode()
    answer = client.post(url, {"code": "D19", "uuid": str(uuid.uuid4()), "ground": "36", "form": "38",
                               "steel": "37"})  # fmt: skip
    assert answer.status_code == 302
    assert {e.subject: e.number for e in job.entries.filter(code="D19")} == {
        "ground": 36, "form": 38, "steel": 37,
    }  # fmt: skip


def test_a_field_set_cured_elsewhere_is_not_taken_for_one(client, job, released, foreman):
    import uuid

    client.force_login(foreman)
    given = {"code": "D08", "uuid": str(uuid.uuid4()), "truck": "1", "lab": "3", "field": "3", "marks": "A"}
    answer = client.post(f"/day/{job.number}/pour/day/", given)
    assert answer.status_code == 422
    assert "no field-cured cylinders" in answer.content.decode()
    assert not job.entries.filter(code="D08").exists()


def test_the_order_as_plain_text(client, job, released, foreman):
    client.force_login(foreman)
    answer = client.get(f"/jobs/{job.number}/pour/order.txt")
    assert answer["Content-Type"].startswith("text/plain")
    assert "CONCRETE ORDER" in answer.content.decode()
