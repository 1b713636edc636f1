"""Readings of the day are judged by the signed lift plan in force, and keep the letter that judged them.

The limits are those of the lift card: what the crew reads there is what a reading is held against. The rules
are common practice, no source; the 10 % of the trial lift and of the read-out as the card says them.
"""

from __future__ import annotations

import json
import math
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError

from crew.phone.steps import item_step
from installs.checklists.services import copy_lists
from installs.checklists.state import list_states
from installs.checklists.taking import take_entry
from installs.gates.facts import facts_of
from installs.gates.services import gate_now
from installs.jobs.services import answer_deviation
from installs.lift.card import big, limits
from installs.lift.checking import review_figures
from installs.lift.limits import given_by
from installs.lift.models import TOWER_LIFT, TURBINE_LIFT
from installs.lift.services import sign_plan
from tests.lift.kit import Kit
from tests.make import AT, a_photo

HOUR = timedelta(hours=1)


@pytest.fixture
def signed(kit: Kit) -> Kit:
    """Plan A of the tower's lift is signed by both, and the lists are in the job."""
    copy_lists(kit.job, by=kit.office, at=AT)
    release(kit, AT)
    return kit


def release(kit: Kit, at, letter: str = "A") -> None:
    kit.release(at=at)
    for role, by in (("lift director", kit.people["lift_director"]), ("operator", kit.office)):
        sign_plan(kit.job, TOWER_LIFT, letter, role, by=by, at=at)


def read(kit: Kit, code: str, number: float, hours: float = 1, **fields):
    at = AT + hours * HOUR
    fields = {"by": kit.office, "taken_at": at, "received_at": at, "photo": a_photo(kit.office), **fields}
    return take_entry(kit.job, code=code, number=number, **fields).entry


def item(kit: Kit, code: str):
    return next(s for state in list_states(kit.job) for s in state.items if s.item.code == code)


def changed(kit: Kit, **figures) -> None:
    kit.lift.change(**figures).save()


def said_of_gate(kit: Kit, key: str) -> str:
    return gate_now(kit.job, key, AT + 9 * HOUR).sentence


def test_the_limits_are_the_numbers_of_the_card(kit: Kit) -> None:
    for lift, gust, radius in ((kit.lift, "H12", "H07"), (kit.turbine, "I05", "I02")):
        revision = kit.release(lift)
        card, given = review_figures(revision.inputs), given_by(revision)
        printed = [each.number for each in big(card)]
        assert [f"{given[gust].high:g}", f"{given[radius].high:.4g}"] == printed[:2]
    words = {limit.word: limit.text for limit in limits(card, stop_word="stop")}
    tower = given_by(kit.job.revisions.get(part=TOWER_LIFT))
    assert (tower["H06"].high, tower["H01"].high, tower["H19"].low) == (1.0, 85.0, None)
    assert "Level within 1 %" in words["Ground"]
    # the first pick of the card, 10 % either way, inward to ten pounds
    first = kit.job.revisions.get(part=TOWER_LIFT).results["raise"][0]["gross_lb"]
    assert 0.9 * first <= tower["H16"].low < 0.9 * first + 10
    assert 1.1 * first - 10 < tower["H16"].high <= 1.1 * first
    # what may swing toward the line, and 20 ft from it: 29 CFR 1926.1408(a) (read in secondary copies)
    drift = kit.job.revisions.get(part=TOWER_LIFT).results["wind"]["drift_ft"]
    beyond = kit.lift.figures.beyond_ft
    assert tower["H08"].low == pytest.approx(35 + beyond + drift + 110 + 20, abs=1.0)


OVER = [("H12", 28.0), ("H07", 60.0), ("H16", 9_500.0), ("H06", 1.5), ("H08", 60.0), ("H09", 40.0)]


@pytest.mark.parametrize(("code", "number"), OVER)
def test_beyond_the_card_is_kept_stops_and_stands(signed: Kit, code: str, number: float) -> None:
    kept = read(signed, code, number)
    assert kept.number == number
    deviation = kept.deviations.get(kind="tower lift over the card")  # the trial lift also begins the work
    assert "the card: stop" in deviation.title and "by lift plan A" in deviation.what
    state = item(signed, code)
    assert not state.done and "the card: stop" in state.judged[kept.pk]
    assert f"{code} " in said_of_gate(signed, TOWER_LIFT) and "the card: stop" in said_of_gate(
        signed, TOWER_LIFT
    )
    assert f"deviation {deviation.number} ({deviation.title})" in said_of_gate(signed, TURBINE_LIFT)


def test_a_newer_reading_within_it_opens_its_own_lift_and_the_deviation_waits_for_its_answer(
    signed: Kit,
) -> None:
    first = read(signed, "H12", 28.0)
    read(signed, "H12", 6.0, 2, corrects=first.uuid)
    assert item(signed, "H12").done
    assert "the card: stop" not in said_of_gate(signed, TOWER_LIFT)
    assert "deviation 1" in said_of_gate(signed, TURBINE_LIFT)
    answer_deviation(
        first.deviations.get(), "accept", "Waited until 10 AM.", by=signed.office, at=AT + 3 * HOUR
    )
    assert "deviation 1" not in said_of_gate(signed, TURBINE_LIFT)


def test_within_the_card_names_its_plan(signed: Kit) -> None:
    kept = read(signed, "H12", 6.0)
    assert item(signed, "H12").done and item(signed, "H12").judged == {kept.pk: "by lift plan A"}


def test_without_a_signed_plan_there_is_no_limit_and_nothing_passes(kit: Kit) -> None:
    copy_lists(kit.job, by=kit.office, at=AT)
    read(kit, "H12", 6.0, 0.5)
    assert item(kit, "H12").lacking == ("H12, no lift plan is released",)
    kit.release(at=AT + HOUR)
    kept = read(kit, "H12", 28.0, 2)
    assert not item(kit, "H12").done and "lift plan A is not signed" in item(kit, "H12").limit.words
    assert not kept.deviations.exists()


def test_a_reading_under_another_plan_names_its_letter_and_is_taken_again(signed: Kit) -> None:
    kept = read(signed, "H07", 34.0)
    assert item(signed, "H07").done
    changed(signed, radius_ft=34.0)
    assert "lift plan A is void" in item(signed, "H07").judged[kept.pk]
    release(signed, AT + 2 * HOUR, "B")
    assert item(signed, "H07").judged == {kept.pk: "read under plan A, lift plan B is in force"}
    assert not item(signed, "H07").done
    # back to what was signed as A: the same plan under another letter
    changed(signed, radius_ft=35.0)
    release(signed, AT + 3 * HOUR, "C")
    assert item(signed, "H07").done and item(signed, "H07").judged == {kept.pk: "by lift plan C"}


def test_what_the_phone_judged_by_an_older_plan_is_judged_by_that_one(signed: Kit) -> None:
    """Its page was held from before: a reading sent later names plan A, though B is in force by then."""
    changed(signed, radius_ft=34.0)
    release(signed, AT + 2 * HOUR, "B")
    most = {
        letter: given_by(signed.job.revisions.get(part=TOWER_LIFT, letter=letter))["H07"].high
        for letter in "AB"
    }
    between = (most["A"] + most["B"]) / 2
    by_b = read(signed, "H07", between, 3, data={"plan": "B"})
    by_a = read(signed, "H07", between, 3, data={"plan": "A"}, corrects=by_b.uuid)
    assert most["B"] < most["A"] and by_b.deviations.exists() and not by_a.deviations.exists()
    assert item(signed, "H07").judged[by_a.pk] == "read under plan A, lift plan B is in force"


def test_a_lift_that_is_done_keeps_the_limits_of_its_own_day(signed: Kit) -> None:
    read(signed, "H12", 6.0)
    signed.job.phases.create(
        key=TOWER_LIFT, started_at=AT + HOUR, started_by=signed.office,
        finished_at=AT + 4 * HOUR, finished_by=signed.office,
    )  # fmt: skip
    changed(signed, radius_ft=34.0)
    assert item(signed, "H12").done
    release(signed, AT + 5 * HOUR, "B")
    assert item(signed, "H12").done
    missing = facts_of(signed.job, AT + 6 * HOUR).holds_missing[TOWER_LIFT]
    assert not any(words.startswith("H12") for words in missing)


def test_the_phone_is_told_the_limits_and_the_letter(signed: Kit) -> None:
    told = json.loads(item_step(signed.job, item(signed, "H07")).json)
    assert told["plan"] == "A" and told["high"] == given_by(signed.job.revisions.get())["H07"].high
    assert "by lift plan A" in told["words"]
    changed(signed, radius_ft=34.0)
    void = json.loads(item_step(signed.job, item(signed, "H07")).json)
    assert "plan" not in void and void["high"] is None and "void" in void["words"]


def test_the_form_says_stop_and_keeps_what_was_typed(signed: Kit, client) -> None:
    client.force_login(signed.people["foreman"])
    url = f"/day/{signed.job.number}/list/{TOWER_LIFT.replace(' ', '%20')}/"
    typed = {"code": "H12", "uuid": "7b0c7d1e-8a3e-4c40-9f3e-111111111111", "number": "28"}
    page = client.post(url, typed)
    assert page.status_code == 422 and b"Over the card: stop. Accepted" in page.content
    assert client.post(url, {**typed, "second_look": "on", "text": "gusts"}).status_code == 302
    kept = signed.job.entries.get()
    assert kept.number == 28.0 and kept.data["plan"] == "A" and kept.deviations.count() == 1
    with pytest.raises(ValidationError):
        read(signed, "H10", 9_000.0, subject="no such tag")


def test_the_ground_under_the_mats_bears_what_they_press_with(signed: Kit) -> None:
    """Softer ground than the mats press with is no ground for this lift: the reading says stop."""
    pressed = kit_release(signed).results["ground"]["mat"]["bearing_psf"]
    soft = read(signed, "H05", math.floor(pressed))
    assert item(signed, "H05").judged[soft.pk] == "under the card: stop"
    assert signed.job.deviations.exists()
    assert item(signed, "H05").lacking
    read(signed, "H05", math.ceil(pressed), hours=2)
    assert not item(signed, "H05").lacking


def test_a_plan_that_gives_none_lets_no_reading_pass_by_a_range_from_nothing(
    signed: Kit, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of no mats nothing is pressed: 0 psf and more is no limit, and what has none is not done."""
    monkeypatch.setattr("installs.jobs.standing.altered", lambda revisions: set())  # as if released so
    revision = kit_release(signed)
    revision.results["ground"] = None
    revision.save()
    read(signed, "H05", 1500.0)
    assert "gives none" in item(signed, "H05").limit.words and item(signed, "H05").lacking


def kit_release(kit: Kit):
    return kit.job.revisions.newest(TOWER_LIFT)


@pytest.mark.parametrize(("which", "code"), [(TOWER_LIFT, "H00"), (TURBINE_LIFT, "I00")])
def test_the_crane_that_came_is_held_to_the_one_the_signed_plan_names(
    signed: Kit, which: str, code: str
) -> None:
    """Another crane stops the lift, stands as a deviation, and completes nothing."""
    if which == TURBINE_LIFT:
        signed.release(signed.turbine)
        for role, by in (("lift director", signed.people["lift_director"]), ("operator", signed.office)):
            sign_plan(signed.job, TURBINE_LIFT, "A", role, by=by, at=AT)
    assert item(signed, code).limit.words == "Lift plan A is for T-55, and for no other."
    came = read(signed, code, None, text="RT-65 no. 4411")
    assert not item(signed, code).done and "not T-55" in item(signed, code).judged[came.pk]
    assert "RT-65 no. 4411 is not T-55, which the plan is for: stop" in said_of_gate(signed, which)
    assert came.deviations.get(kind=f"{which} over the card").title.endswith("stop")
    read(signed, code, None, 2, text="t 55", corrects=came.uuid)
    assert item(signed, code).done and f"{code} " not in said_of_gate(signed, which)


def test_a_photo_alone_does_not_say_which_crane_came_and_a_void_plan_names_none(signed: Kit) -> None:
    read(signed, "H00", None)
    assert item(signed, "H00").lacking == ("H00, no number written",)
    read(signed, "H00", None, 2, text="T-55", corrects=signed.job.entries.get().uuid)
    changed(signed, radius_ft=34.0)
    assert "lift plan A is void" in item(signed, "H00").limit.words and not item(signed, "H00").done


def test_the_form_asks_of_another_crane_and_keeps_it_at_the_second_press(signed: Kit, client) -> None:
    client.force_login(signed.people["foreman"])
    url = f"/day/{signed.job.number}/list/{TOWER_LIFT.replace(' ', '%20')}/"
    typed = {"code": "H00", "uuid": "7b0c7d1e-8a3e-4c40-9f3e-222222222222", "text": "T-9"}
    page = client.post(url, typed)
    assert (
        page.status_code == 422 and "T-9 is not T-55, which the plan is for: stop." in page.content.decode()
    )
    [asked] = page.context["form"]._asked
    assert client.post(url, {**typed, "confirm": asked}).status_code == 302
    kept = signed.job.entries.get()
    assert kept.text == "T-9" and kept.data == {"confirmed": [asked], "plan": "A"}
    assert kept.deviations.count() == 1
