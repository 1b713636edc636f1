"""A lift plan in force: released, signed by letter, void when anything under it changes."""

import re
from datetime import date, timedelta
from io import BytesIO

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from installs.equipment.models import EquipmentRecord
from installs.jobs.services import add_member
from installs.lift.models import TOWER_LIFT, LiftSignature, SignedSheet
from installs.lift.review import changed_figures, load_lifts
from installs.lift.services import sign_plan
from installs.lift.sheets import card_sheet
from installs.people.models import Certificate
from installs.record.files import files_of
from sitecalc.checks import Known, Rule
from sitecalc.wording import day_words
from tests.lift.kit import DAY, WEATHER_DAY, Kit, make_kit
from tests.make import AT, a_photo, make_person, press, sealed

ROLES = {"lift director": "lift_director", "operator": "operator"}


def sign(kit: Kit, letter: str = "A", role: str = "lift director", by=None) -> LiftSignature:
    by = by or kit.people["lift_director"]
    return sign_plan(kit.job, TOWER_LIFT, letter, role, by=by, at=AT)


def signed(kit: Kit) -> None:
    sign(kit)
    sign(kit, role="operator", by=kit.office)  # signed on paper: the operator has no sign-in


def state(kit: Kit):
    return load_lifts([kit.job])[kit.job.pk, TOWER_LIFT]


def missing(kit: Kit, on: date = DAY) -> tuple[str, ...]:
    return state(kit).missing_on(on)


def test_in_force_when_released_and_signed_by_both(kit: Kit) -> None:
    kit.release()
    assert not state(kit).signed
    sign(kit)
    assert not state(kit).signed
    sign(kit, role="operator", by=kit.office)
    found = state(kit)
    assert found.signed and found.letter == "A" and found.missing_on(DAY) == ()
    assert found.next_day(AT.date()) == DAY


def test_nothing_is_known_of_a_plan_that_was_never_released(kit: Kit) -> None:
    assert (kit.job.pk, TOWER_LIFT) not in load_lifts([kit.job])
    with pytest.raises(ValidationError, match="No plan"):
        sign(kit)


def test_a_changed_draft_voids_the_signatures(kit: Kit) -> None:
    kit.release()
    signed(kit)
    kit.lift.change(radius_ft=36.0)
    kit.lift.save()
    found = state(kit)
    assert not found.signed and "its draft has changed" in found.missing[0]
    with pytest.raises(ValidationError, match="Release it again"):
        sign(kit)


def test_a_new_letter_starts_without_signatures(kit: Kit) -> None:
    kit.release()
    signed(kit)
    kit.lift.change(radius_ft=36.0)
    kit.lift.save()
    assert kit.release(at=AT + timedelta(hours=1)).letter == "B"
    assert not state(kit).signed
    with pytest.raises(ValidationError, match="superseded by B"):
        sign(kit, "A")
    assert LiftSignature.objects.count() == 2


def test_a_tower_released_after_the_plan_voids_it(kit: Kit) -> None:
    from installs.jobs.services import release_design

    kit.release()
    signed(kit)
    check = Rule("x", "X", "", "invented", Known.PRACTICE).compare(demand=1, capacity=2)
    release_design(kit.job, "tower", {}, {}, [check], by=kit.office, at=AT + timedelta(days=1))
    assert state(kit).missing[0] == (
        "lift plan A is void: tower lift A has 110 ft high and 6,480 lb; "
        "tower A with no height and no weight is in force"
    )


@pytest.mark.parametrize("role", ["lift director", "operator"])
def test_nobody_signs_for_another_who_can_sign(kit: Kit, role: str) -> None:
    kit.release()
    stranger = make_person("Stan Ger", "crew")
    add_member(kit.job, stranger, by=kit.office, at=AT)
    with pytest.raises(ValidationError, match="Only"):
        sign(kit, role=role, by=stranger)
    if role == "lift director":
        with pytest.raises(ValidationError, match="Only"):
            sign(kit, role=role, by=kit.office)


def test_signing_twice_is_one_signature(kit: Kit) -> None:
    kit.release()
    assert sign(kit).pk == sign(kit).pk
    assert kit.job.events.filter(verb="lift plan signed").count() == 1


def test_a_role_that_does_not_sign_is_refused(kit: Kit) -> None:
    kit.release()
    with pytest.raises(ValidationError):
        sign(kit, role="cook")


def test_the_crane_must_be_inspected_on_the_day(kit: Kit) -> None:
    kit.release()
    signed(kit)
    EquipmentRecord.objects.filter(crane=kit.crane).update(expires_on=DAY - timedelta(1))
    assert missing(kit) == ("crane: annual inspection expired May 28, 2031",)


def test_a_card_must_be_valid_on_the_day(kit: Kit) -> None:
    kit.release()
    Certificate.objects.filter(kind="crane operator").update(expires_on=DAY - timedelta(1))
    assert missing(kit) == ("Lyle Fern, operator: card to May 28, 2031",)
    Certificate.objects.filter(kind="crane operator").delete()
    assert missing(kit) == ("Lyle Fern, operator: no card on record",)


def test_a_card_must_have_its_number_unless_it_was_carried_over(kit: Kit) -> None:
    kit.release()
    cards = Certificate.objects.filter(kind="rigger")
    cards.update(number="")
    assert missing(kit) == ("Nils Arbor, rigger: card with no number on record",)
    cards.update(carried_over=True)
    assert missing(kit) == ()
    cards.update(carried_over=False, number="R-1", recorded_by=None)
    assert missing(kit) == ("Nils Arbor, rigger: card with no word of who recorded it",)


def test_the_inspection_of_the_crane_must_have_its_number(kit: Kit) -> None:
    kit.release()
    EquipmentRecord.objects.filter(crane=kit.crane).update(reference="")
    assert missing(kit) == ("crane: annual inspection of Feb 3, 2031 has no number on record",)


def test_an_expired_tag_is_named(kit: Kit) -> None:
    kit.release()
    EquipmentRecord.objects.filter(sling=kit.lift.near_sling).update(expires_on=date(2031, 3, 1))
    assert missing(kit) == ("R-1: inspection expired Mar 1, 2031",)


def test_a_crane_whose_figures_were_changed_since_is_named(kit: Kit) -> None:
    kit.release()
    kit.crane.boom_depth_ft = 3.0
    kit.crane.save()
    assert missing(kit) == ("crane: its figures were changed after the plan was released",)


def test_each_of_the_plans_days_is_judged_by_itself_and_no_other_is_one(kit: Kit) -> None:
    kit.release()
    EquipmentRecord.objects.filter(crane=kit.crane).update(expires_on=DAY)
    assert missing(kit, DAY) == ()
    assert missing(kit, WEATHER_DAY) == ("crane: annual inspection expired May 29, 2031",)
    between = DAY + timedelta(days=1)
    own = "lift plan A is for Thu May 29 and Mon Jun 2"
    assert missing(kit, between) == (f"{own}, not for Fri May 30",)
    assert [state(kit).next_day(on) for on in (DAY, between, date(2031, 6, 3))] == [DAY, WEATHER_DAY, None]


def test_many_jobs_cost_no_more_queries(kit: Kit, django_assert_max_num_queries) -> None:
    kit.release()
    jobs = [kit.job]
    for n in range(3):
        other = make_kit(f"-{n}")
        other.release()
        jobs.append(other.job)
    with django_assert_max_num_queries(13):
        assert len(load_lifts(jobs)) == 4


def test_what_bears_on_nothing_signed_voids_nothing(kit: Kit) -> None:
    """A radio channel and the hour are no figures of the crane: by the declaration, not by a list."""
    kit.release()
    signed(kit)
    kit.lift.change(radio="5", lift_at="08:30:00")
    kit.lift.save()
    assert state(kit).signed and state(kit).void == ()
    # and as a release of its own it is the same plan, under the same signatures
    assert kit.release(at=AT + timedelta(hours=1)).letter == "B"
    assert state(kit).signed and state(kit).letter == "B"


def test_the_change_that_voids_says_which(kit: Kit) -> None:
    kit.release()
    signed(kit)
    kit.lift.change(radius_ft=31.0, stop_gust_mph=10.0)
    kit.lift.operator = kit.people["rigger"]
    kit.lift.save()
    said = state(kit).void[0]
    assert "radius, taped 35 ft, now 31 ft" in said
    assert "gust at which we stop, at the tip empty, now 10 mph" in said and "operator: another one" in said


def test_a_figure_declared_after_the_release_voids_nothing(kit: Kit) -> None:
    """A plan from before hitches and soils were asked stands as it was signed."""
    old = kit.release().inputs
    for name in ("near_hitch", "far_hitch", "choke_deg", "soil_class", "longest_ft", "tag_line_ft"):
        old.pop(name)
        kit.lift.value.pop(name)
    assert changed_figures(old, kit.lift.own_inputs()) == []


def test_a_tag_with_more_columns_than_at_the_release_was_not_edited(kit: Kit) -> None:
    revision = kit.release()
    for tag in ("near_sling", "far_sling", "shackle"):
        for column in ("choker_lb", "basket_lb"):
            revision.inputs["the"][tag].pop(column)
    sealed(revision)
    assert missing(kit) == ()


def test_a_signature_keeps_the_limits_it_was_given_for(kit: Kit) -> None:
    kit.release()
    kept = {each["word"]: each["text"] for each in sign(kit).limits}
    assert "35 ft, taped" in kept["Radius"] and "gross 7,470 lb" in kept["Load"] and len(kept) == 12


def test_the_card_says_signed_when_it_is_and_void_when_it_is_not(kit: Kit) -> None:
    revision = kit.release()
    assert card_sheet(kit.job, revision)["signed_line"] == ""
    signed(kit)
    assert card_sheet(kit.job, revision)["signed_line"] == f"Dale Rust, May 5, 2031; Lyle Fern, {WITHOUT}"
    kit.lift.change(radius_ft=34.0)
    kit.lift.save()
    card = card_sheet(kit.job, revision)
    assert card["signed_line"] == "" and "radius, taped" in card["void"][0]
    assert {p["role"]: p["signed"] for p in card["people"]}["operator"].startswith("void: recorded by")


def test_a_day_of_the_plan_that_something_ends_before_is_said_ahead(kit: Kit) -> None:
    """A card that is good on the day of the lift and not on its weather day is renewed before, not then."""
    kit.release()
    signed(kit)
    first, second = sorted(state(kit).days)
    card = Certificate.objects.get(person=kit.people["operator"], kind="crane operator")
    card.expires_on = first
    card.save()
    said = f"Lyle Fern, operator: card to {day_words(first, year=True)}"
    assert state(kit).missing_on(first) == () and state(kit).missing_on(second) == (said,)
    ahead = f"for {day_words(second, weekday=True)}: {said}"
    assert state(kit).ahead(first) == (ahead,) and state(kit).against(first) == (ahead,)
    assert state(kit).ahead(second) == ()


def test_whose_crane_it_is_bears_on_no_figure_of_the_lift(kit: Kit) -> None:
    kit.release()
    signed(kit)
    crane = kit.crane
    crane.owner_firm = "Prairie Hook Rental"
    crane.save()
    assert missing(kit) == ()
    kit.lift.crane = crane
    kit.release(at=AT + timedelta(hours=1))
    assert state(kit).signed, "the same plan, whoever owns the crane"
    crane.weight_lb += 5000
    crane.save()
    assert "its figures were changed" in missing(kit)[0]


def test_the_page_says_once_and_in_words_why_a_release_is_void(client, kit: Kit) -> None:
    """What the lift says of its signatures stands beside what every page says, not in its place."""
    kit.release()
    signed(kit)
    kit.lift.change(radius_ft=36.0)
    kit.lift.save()
    client.force_login(kit.office)
    page = client.get(f"/jobs/{kit.job.number}/lift/")
    assert page.context["void"] == "" and "Signatures no longer count" in page.content.decode()
    assert "&#x27;,)" not in page.content.decode()


def a_sheet(name: str = "signed.png") -> SimpleUploadedFile:
    out = BytesIO()
    Image.new("RGB", (40, 30), "white").save(out, "PNG")
    return SimpleUploadedFile(name, out.getvalue())


WITHOUT = "recorded by Alma Reyes without the signed sheet, May 5, 2031"


def test_another_hands_signature_shows_its_sheet_or_says_that_there_is_none(kit: Kit) -> None:
    revision = kit.release()
    signed(kit)
    boxes = {box["role"]: box for box in card_sheet(kit.job, revision)["people"]}
    assert boxes["lift director"]["signed"] == "signed May 5, 2031" and boxes["lift director"]["hand"]
    assert boxes["operator"]["signed"] == WITHOUT and not boxes["operator"]["hand"]
    assert f"Lyle Fern, {WITHOUT}" in card_sheet(kit.job, revision)["standing"]
    # the sheet comes later: the signature stays as it was made
    sign_plan(kit.job, TOWER_LIFT, "A", "operator", by=kit.office, at=AT + timedelta(days=1), sheet=a_sheet())
    [sheet] = SignedSheet.objects.all()
    assert (sheet.signature.signed_at, sheet.kept_by) == (AT, kit.office)
    box = card_sheet(kit.job, revision)["people"][1]
    assert box["signed"] == "signed on paper May 5, 2031" and box["hand"] == "L. Fern"
    assert sheet.file in files_of(kit.job)


def test_a_sheet_that_no_line_of_the_log_tells_of_is_none(kit: Kit) -> None:
    revision = kit.release()
    signed(kit)
    by_hand = LiftSignature.objects.get(role="operator")
    SignedSheet.objects.create(signature=by_hand, file=a_photo(kit.office), kept_at=AT, kept_by=kit.office)
    assert card_sheet(kit.job, revision)["people"][1]["signed"] == WITHOUT


def test_what_is_no_picture_signs_nothing_and_is_said(client, kit: Kit) -> None:
    kit.release()
    client.force_login(kit.office)
    url = f"/jobs/{kit.job.number}/lift/"
    typed = {"letter": "A", "role": "operator", "sheet": SimpleUploadedFile("x.pdf", b"no paper")}
    answer = press(client, f"{url}sign/", typed, page=url)
    said = answer.content.decode()
    assert (
        answer.status_code == 422
        and "The signed sheet was not kept" in said
        and not LiftSignature.objects.exists()
    )
    press(client, f"{url}sign/", {**typed, "sheet": a_sheet()}, page=url)
    page = client.get(url).content.decode()
    [link] = re.findall(r'href="([^"]*/signed/\d+/)"', page)
    assert client.get(link)["Content-Type"] == "image/jpeg"
    assert "without the signed sheet" not in page
