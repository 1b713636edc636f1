"""The application to the utility: what is missing, what is recorded, and the permits that the gates read."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from crew.morning.look_ahead import lines
from crew.morning.office import load_morning
from installs.firm.models import Contact
from installs.gates.facts import facts_of
from installs.gates.rules import gate
from installs.jobs.models import Job
from installs.jobs.parts import TABLE
from installs.people.models import Firm, User
from installs.permits.models import Permit
from installs.permits.services import record_permit
from installs.utility.facts import applied
from installs.utility.models import ApplicationLine, UtilityApplication, UtilityProfile
from installs.utility.review import screens
from installs.utility.services import record_line, strike_line
from installs.utility.standing import utility_of
from sitecalc.checks import Verdict
from tests.make import alma, make_job, press

pytestmark = pytest.mark.django_db

NAME = "Coteau Electric"
FULL: dict[str, Any] = {
    "billed_name": "Orrin Test", "account": "30-1", "meter_number": "M 1", "signer": "holder",
    "signer_name": "Orrin Test", "firmware": "2.1", "ac_kw": 15.0, "listing": "UL 1741 SB",
    "certificate": "PT-1", "category": "III", "export_kw": 15.0, "load_kw": 20.0,
    "disconnect_place": "Meter pole", "in_service_on": date(2031, 6, 1), "insurance": "Prairie Mutual",
}  # fmt: skip
STATION: dict[str, Any] = {
    "inverter": "GI-15", "inverter_listed": True, "inverter_a": 62.5, "inverter_fault_a": 75.0,
    "service_kva": 50.0,
    "disconnects": [{"name": "AC disconnect", "rating_a": 100.0, "utility": "yes", "lockable": "yes"}],
}  # fmt: skip


@pytest.fixture
def office() -> User:
    return alma()


@pytest.fixture
def job(office: User) -> Job:
    return make_job(by=office, utility=NAME, address="1 Pump Rd", at=timezone.now())


@pytest.fixture
def profile() -> UtilityProfile:
    return UtilityProfile.objects.create(name=NAME)


def full(job: Job, **fields: Any) -> UtilityApplication:
    for kind, name in (("owner", "Orrin Test"), ("utility", NAME)):
        Contact.objects.create(job=job if kind == "owner" else None, kind=kind, name=name, phone="555-0100")
    draft = TABLE["ground_station"].draft_of(job)
    draft.change(**STATION).save()
    return UtilityApplication.objects.create(job=job, **{**FULL, **fields})


def gaps(job: Job) -> list[str]:
    return [gap.words for gap in applied(job).gaps]


def line(job: Job, state: str, days: int, office: User, **fields: Any) -> ApplicationLine:
    """``days`` from today."""
    now = timezone.now()
    on = job.local(now).date() + timedelta(days=days)
    made = ApplicationLine(state=state, on=on, **{"by_whom": NAME, **fields})
    return record_line(job, made, by=office, at=now)


def test_an_empty_job_misses_everything_and_says_where_it_is_mended(
    job: Job, client: Any, office: User
) -> None:
    job.address = job.utility = ""
    job.save()
    client.force_login(office)
    page = client.get(f"/jobs/{job.number}/utility/").content.decode()
    assert "Incomplete: 2" in page
    for words in ("account number", "name as billed", "who signs", "turbine"):
        assert words in gaps(job)
    assert f'href="/jobs/{job.number}/utility/edit/#id_account"' in page
    assert f'href="/jobs/{job.number}/ground-station/"' in page
    field = client.get(f"/jobs/{job.number}/utility/edit/").content.decode()
    for gap in applied(job).gaps:
        assert gap.page != "utility-edit" or f'id="{gap.at}"' in field


def test_what_other_parts_say_is_theirs_and_asked_nowhere(job: Job) -> None:
    full(job)
    items = {item.key: item for item in applied(job).items}
    assert (items["inverter"].words, items["inverter"].source) == ("GI-15", "ground station draft")
    assert items["disconnect"].words == "AC disconnect, 100 A, lockable open"
    assert items["amps"].words.startswith("62.5 A")
    assert gaps(job) == ["turbine"]
    draft = TABLE["turbine"].draft_of(job)
    assert not {field.name for field in UtilityApplication._meta.fields} & set(draft.value)


def test_the_firms_insurance_stands_where_the_owners_is_not_given(job: Job) -> None:
    row = full(job, insurance="")
    assert "liability insurance" in gaps(job)
    Firm.objects.update_or_create(pk=1, defaults={"name": "F", "insurer": "Prairie Mutual"})
    assert "liability insurance" not in gaps(job)
    row.refresh_from_db()


def test_an_agent_needs_the_letter_and_a_holder_none(job: Job) -> None:
    row = full(job, signer="agent")
    assert "the account holder's letter to the agent" in gaps(job)
    row.signer = "holder"
    row.save()
    assert "the account holder's letter to the agent" not in gaps(job)


def test_more_power_than_the_wiring_is_sized_for_is_a_gap(job: Job) -> None:
    """15.1 kW at 240 V is 62.9 A over 62.5 A."""
    full(job, ac_kw=15.1)
    assert any("more than the wiring is sized for" in words for words in gaps(job))


def test_nothing_is_answered_before_it_was_sent(job: Job, office: User) -> None:
    for days in (-5, 0):
        with pytest.raises(ValidationError) as refused:
            line(job, "complete", days, office)
        assert "on" in refused.value.error_dict
    line(job, "sent", -3, office)
    with pytest.raises(ValidationError):
        line(job, "complete", -4, office)
    with pytest.raises(ValidationError):
        line(job, "complete", 1, office)  # has not come
    line(job, "complete", -3, office)


def test_an_unusual_order_is_asked_and_kept_at_the_second_press(job: Job, office: User, client: Any) -> None:
    line(job, "sent", -9, office)
    client.force_login(office)
    page, url = f"/jobs/{job.number}/utility/", f"/jobs/{job.number}/utility/state/"
    today = job.local(timezone.now()).date()
    data = {"state": "screened", "on": today.isoformat(), "by_whom": "Desk", "words": "All pass."}
    asked = press(client, url, data, page=page)
    assert asked.status_code == 422
    text = asked.content.decode()
    assert "is not recorded on or before that day" in text
    assert "All pass." in text
    confirm = text.split('name="confirm" value="')[1].split('"')[0]
    kept = press(client, url, {**data, "confirm": confirm.replace("&quot;", '"')}, page=page)
    assert kept.status_code == 302
    assert job.application_lines.filter(state="screened").count() == 1


def test_a_state_refused_at_its_field_loses_nothing_that_was_typed(
    job: Job, office: User, client: Any
) -> None:
    client.force_login(office)
    page, url = f"/jobs/{job.number}/utility/", f"/jobs/{job.number}/utility/state/"
    today = job.local(timezone.now()).date().isoformat()
    found = press(
        client, url, {"state": "complete", "on": today, "by_whom": "Desk", "number": "Q-7"}, page=page
    )
    assert found.status_code == 422
    assert "Nothing is recorded as sent" in found.content.decode()
    assert 'value="Q-7"' in found.content.decode()
    assert not job.application_lines.exists()


# --- one truth: the permits that the gates read -------------------------------------------------------


def needs(job: Job, key: str) -> str:
    return " ".join(gate(key, facts_of(job, timezone.now()), job.local(timezone.now()).date()).missing)


def test_the_letter_to_operate_is_the_permit_that_the_gate_reads_and_struck_it_closes_again(
    job: Job, office: User
) -> None:
    line(job, "sent", -40, office)
    assert "utility's letter" in needs(job, "operation")
    with pytest.raises(ValidationError) as refused:
        line(job, "letter to operate", -1, office)
    assert "number" in refused.value.error_dict  # in hand by what?
    letter = line(job, "letter to operate", -1, office, number="O-90")
    assert letter.permit is not None
    assert letter.permit.in_hand(job.local(timezone.now()).date())
    assert "utility's letter" not in needs(job, "operation")
    strike_line(letter, "of another job", by=office, at=timezone.now())
    assert "utility's letter" in needs(job, "operation")
    kept = ApplicationLine.objects.get(pk=letter.pk)
    assert (kept.struck_because, kept.number) == ("of another job", "O-90")
    with pytest.raises(ValidationError):
        strike_line(kept, "again", by=office, at=timezone.now())


def test_permission_to_test_opens_the_test_and_an_approval_does_not(job: Job, office: User) -> None:
    line(job, "sent", -40, office)
    line(job, "approved", -20, office, number="A-1")
    line(job, "witness asked", -10, office)
    assert "permission to test" in needs(job, "parallel for test")
    line(job, "permission to test", -5, office, number="T-1")
    assert "permission to test" not in needs(job, "parallel for test")
    tests = job.permits.filter(kind="utility test")
    assert tests.count() == 1  # the one that was asked for is the one in hand


def test_a_permit_of_before_is_read_as_the_state_that_it_is(
    job: Job, office: User, profile: UtilityProfile
) -> None:
    now = timezone.now()
    today = job.local(now).date()
    old = Permit(kind="utility application", asked_of=NAME, asked_on=today - timedelta(days=60))
    record_permit(job, old, [], by=office, at=now)
    standing = utility_of(job, now)
    assert [x.state for x in standing.happened] == ["sent"]
    assert standing.overdue
    approved = line(job, "approved", -2, office, number="A-804")
    assert approved.permit_id == old.pk
    assert job.permits.count() == 1
    assert [x.state for x in utility_of(job, now).happened] == ["sent", "approved"]
    strike_line(approved, "it was another letter", by=office, at=now)
    old.refresh_from_db()
    assert (old.granted_on, old.number, old.withdrawn_on) == (None, "", None)


def test_what_somebody_changed_by_hand_since_is_theirs(job: Job, office: User) -> None:
    line(job, "sent", -40, office)
    approved = line(job, "approved", -2, office, number="A-804")
    permit = approved.permit
    assert permit is not None
    permit.granted_on = job.local(timezone.now()).date()
    record_permit(job, permit, ["granted_on"], by=office, at=timezone.now())
    strike_line(approved, "another day", by=office, at=timezone.now())
    permit.refresh_from_db()
    assert permit.granted_on == job.local(timezone.now()).date()


# --- changed after sending, and what calls a person ---------------------------------------------------


def called(office: User) -> str:
    return " ".join(words for each in lines(load_morning(timezone.now(), office)) for words in each.calls)


@pytest.mark.parametrize(
    ("change", "says"),
    [({"firmware": "2.3"}, "firmware was 2.1, is 2.3"), ({"ac_kw": 14.0}, "AC rating was 15 kW, is 14 kW")],
)
def test_another_than_was_sent_asks_to_tell_the_utility_again(
    job: Job, office: User, change: dict[str, Any], says: str, client: Any
) -> None:
    row = full(job)
    sent = line(job, "sent", 0, office)
    assert len(sent.told_sha256) == 64
    assert not utility_of(job, timezone.now()).changed
    assert "Tell" not in called(office)
    for name, value in change.items():
        setattr(row, name, value)
    row.save()
    from installs.jobs.services import write_event

    write_event(job, "utility application", "For a test.", by=office, at=timezone.now())
    assert says in called(office)
    client.force_login(office)
    assert says in client.get(f"/jobs/{job.number}/utility/").content.decode()
    assert "tell the utility again" in client.get(f"/jobs/{job.number}/").content.decode()
    line(job, "sent", 0, office)
    assert not utility_of(job, timezone.now()).changed
    assert "Tell" not in called(office)


def test_another_inverter_in_the_ground_station_is_seen(job: Job, office: User) -> None:
    full(job)
    line(job, "sent", 0, office)
    TABLE["ground_station"].draft_of(job).change(inverter="GI-20").save()
    assert utility_of(job, timezone.now()).changed == ("Inverter, make and model was GI-15, is GI-20",)


def test_what_is_overdue_calls_and_what_is_incomplete_is_ours(
    job: Job, office: User, profile: UtilityProfile
) -> None:
    line(job, "sent", -30, office)
    assert "say whether it is complete" in called(office)
    line(job, "incomplete", -1, office, words="No one-line.")
    said = called(office)
    assert "business day" not in said
    assert "what it found missing" in said
    assert utility_of(job, timezone.now()).ours


def test_a_utility_without_a_profile_owes_nothing_on_a_day_and_says_so(
    job: Job, office: User, client: Any
) -> None:
    line(job, "sent", -30, office)
    standing = utility_of(job, timezone.now())
    assert (standing.dues, standing.profile) == ((), None)
    client.force_login(office)
    assert "has no profile" in client.get(f"/jobs/{job.number}/utility/").content.decode()


def test_without_a_profile_no_screen_passes(job: Job) -> None:
    full(job, circuit="radial", secondary="own transformer", across="line to line", peak_kw=1200, before_kw=0)
    assert not [check for check in screens(applied(job), None) if check.passes]
    found = screens(applied(job), UtilityProfile(name=NAME, most_kw=20))
    assert {check.key: check.verdict for check in found}["line-section"] is Verdict.PASSES


def test_what_is_not_known_of_a_profile_is_refused_at_its_field(client: Any, office: User) -> None:
    client.force_login(office)
    url = "/people/utilities/add/"
    found = press(client, url, {"name": NAME, "days_off": "Friday after", "screen_days": "400"})
    text = found.content.decode()
    assert found.status_code == 422
    assert "Line 1: a day as 2026-11-27" in text
    assert "1 to 250 business days" in text
    assert "Friday after" in text


def test_a_promised_day_holds_the_call_of_a_permit_of_before(
    job: Job, office: User, profile: UtilityProfile
) -> None:
    now = timezone.now()
    today = job.local(now).date()
    asked = {"kind": "utility application", "asked_of": NAME, "asked_on": today - timedelta(days=60)}
    permit = record_permit(job, Permit(promised_on=today + timedelta(days=3), **asked), [], by=office, at=now)
    assert "whether it is complete" not in called(office)
    assert utility_of(job, now).overdue
    permit.promised_on = None
    record_permit(job, permit, ["promised_on"], by=office, at=now)
    assert "whether it is complete" in called(office)


# --- paper --------------------------------------------------------------------------------------------


def test_the_paper_says_on_its_face_how_much_is_missing(
    job: Job, office: User, profile: UtilityProfile
) -> None:
    from installs.papers.pages import documents
    from installs.papers.services import order_paper

    full(job, account="", meter_number="")
    line(job, "sent", 0, office)
    paper = order_paper(job, "interconnection", by=office, at=timezone.now())
    first, second = (html for _, html in documents(paper.inputs))
    assert "Incomplete: 3" in first
    assert "account number; meter number" in first
    assert "What was sent" in second
    assert "Say whether it is complete" in second


def test_the_paper_stays_as_it_was_ordered(job: Job, office: User) -> None:
    from installs.papers.pages import documents
    from installs.papers.services import order_paper

    row = full(job, account="")
    paper = order_paper(job, "interconnection", by=office, at=timezone.now())
    row.account = "30-1"
    row.save()
    paper.refresh_from_db()
    assert "Incomplete: 2" in documents(paper.inputs)[0][1]


def test_the_letter_of_an_agent_is_kept_with_the_application(job: Job, office: User, client: Any) -> None:
    full(job, signer="agent")
    client.force_login(office)
    pdf = SimpleUploadedFile("letter.pdf", b"no pdf at all", content_type="application/pdf")
    found = press(client, f"/jobs/{job.number}/utility/edit/", {"letter": pdf, **_typed(job)})
    assert found.status_code == 422


def _typed(job: Job) -> dict[str, str]:
    row = UtilityApplication.objects.get(job=job)
    return {"billed_name": row.billed_name, "signer": "agent", "signer_name": "A. Reyes"}
