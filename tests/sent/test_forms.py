"""Every form that is posted: pressed twice it is one, from an old page it decides nothing, nothing is lost.

The forms are those of the URL patterns, so that a new one without a line here fails. A browser is played: the
page is fetched, and its form filled as it stands but for what is typed.
"""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection, transaction
from django.test import Client
from django.utils import timezone

import tests.sent.make_crew_cases
import tests.sent.make_firm_cases
import tests.sent.make_job_cases
import tests.sent.make_kit_cases  # noqa: F401  (the cases)
from crew.plan.models import Absence, ClosedDays, CraneBooking, Crew, CrewDay
from installs.checklists.models import Device
from installs.equipment.models import Crane, EquipmentRecord, LoadChart, Sling, Wrench
from installs.firm.models import Contact
from installs.inspection.models import Correction
from installs.jobs.design_views import DECISIONS
from installs.jobs.models import Job
from installs.kits.models import Kit
from installs.papers.models import Paper
from installs.people.models import Certificate, Firm, User
from installs.permits.models import Permit
from installs.pour.models import EarlyRelease
from installs.sent.models import SentForm
from installs.sent.once import ENTRIES
from installs.turbine.models import TurbineModel
from installs.typed import RowForm
from tests.house.page_forms import forms_of
from tests.house.test_bad_input import counts, demo, in_the_database  # noqa: F401  (fixtures)
from tests.people.test_access import VIEWS, url_for
from tests.sent.make_case import BUTTONS, CASES, Case, alma

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(connection.vendor != "sqlite", reason="the demo is copied by SQLite"),
]


@pytest.fixture
def job(demo: None) -> Job:  # noqa: F811
    """That with a deviation to answer, a pour on record and a plan to come."""
    return Job.objects.get(owner="Aasen Dairy")


def signed_in(case: Case) -> Client:
    who = {"office": "alma", "engineer": "lindqvist"}.get(case.by, case.by)
    client = Client()
    client.force_login(User.objects.get(username=who))
    return client


def kept() -> dict[str, int]:
    return {name: n for name, n in counts().items() if name not in ("sessions.Session", SentForm._meta.label)}


def read(client: Client, case: Case) -> dict[str, Any]:
    page = client.get(case.page)
    assert page.status_code == 200
    return case.data(case.form(page.content.decode()))


def again(case: Case, data: dict[str, Any]) -> dict[str, Any]:
    """The same press: files from their beginning."""
    for value in data.values():
        if isinstance(value, SimpleUploadedFile):
            value.seek(0)
    return data


def words(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


def target(case: Case) -> str:
    return case.action or case.page


EVERY = sorted(CASES)
CHANGING = sorted(
    set(CASES)
    - {"crane: record", "crane: chart", "person: card", "job-edit: member", "lists-copy"}
    - {"pour-truck", "pour-temperature", "pour-logger", "strength-notice", "foundation-survey"}
    - {"order-paper", "archive-order", "archive-stop", "paper-again", "paper-stop", "crew-days"}
    - {"inspection-add", "meters-read", "job-open", "crane-bookings", "site-closed"}
    - {"kit-of-job", "kit-of-job: row", "kit-take", "acceptance-letter", "kit-questions"}
    - {"prices", "job-prices", "utility-state-add"}
    - {"tentative-plans", "tentative-repair", "tentative-stop", "tentative-again", "date-promised", "chances"}
    - {name for name in CASES if name.endswith("-add")}
)


# what is waited for goes on or stops: no row is added
OF_A_ROW = {"paper-again", "paper-stop", "archive-stop", "phase", "tentative-stop", "tentative-again"}

# each says what nothing is done twice by; tests/people holds them to it
SIGNING_IN = {
    "sign-in", "sign-out", "sign-in-link", "my-password", "my-codes", "my-codes-off", "my-recovery-codes",
    "session-end", "sessions-end", "first-demo", "person-link", "person-sign-out", "person-codes-off",
}  # fmt: skip


def test_every_view_that_takes_a_form_has_a_case_here(client: Client, job: Job) -> None:
    """Or says by what else nothing is done twice there: a design page's decision, an entry's own id."""
    client.force_login(alma())
    named = {name.partition(":")[0] for name in CASES}
    for name, route, view in VIEWS:
        if name == "first-start":  # of an empty database: tests/people/test_first_start.py presses it twice
            continue
        if name in SIGNING_IN:
            assert hasattr(view, "sends"), name
            continue
        if hasattr(view, "sends"):
            assert view.sends in (DECISIONS, ENTRIES) or name in ("foundation-bars", "feeds"), name
            continue
        answer = client.post(url_for(name, route, job.number))
        assert (answer.status_code != 405) == (name in named), name


def test_every_form_of_a_row_is_held_by_these(job: Job) -> None:
    """A form of a row that no page of a case shows would be one that nothing here presses."""
    shown: set[str] = set()
    for make in CASES.values():
        with transaction.atomic():
            case = make(job)
            answer = signed_in(case).get(case.page)
            transaction.set_rollback(True)
        contexts = answer.context if isinstance(answer.context, list) else [answer.context]
        shown |= {
            type(v).__name__ for c in contexts for d in c.dicts for v in d.values() if isinstance(v, RowForm)
        }
    every, found = [RowForm], set()
    while every:
        for form in every.pop().__subclasses__():
            every.append(form)
            found.add(form)
    rows = {f.__name__ for f in found if f.__module__.startswith(("installs.", "crew.")) and not is_design(f)}
    assert rows - shown == set()


def is_design(form: type) -> bool:
    return any(base.__name__ == "DesignForm" for base in form.__mro__)


@pytest.mark.parametrize("name", EVERY)
def test_pressed_twice_it_is_kept_once(job: Job, name: str) -> None:
    case = CASES[name](job)
    client = signed_in(case)
    data = read(client, case)
    before = kept()
    first = client.post(target(case), data)
    assert first.status_code == 302, words(first)
    once = kept()
    second = client.post(target(case), again(case, data))
    assert (second.status_code, second["Location"]) == (302, first["Location"])
    assert kept() == once
    if name not in CHANGING and name not in OF_A_ROW:
        assert once != before


@pytest.mark.parametrize("name", EVERY)
def test_without_its_id_it_is_refused_in_words_and_can_be_sent_from_there(job: Job, name: str) -> None:
    case = CASES[name](job)
    client = signed_in(case)
    data, before = read(client, case), kept()
    answer = client.post(target(case), {**data, "form_id": ""})
    assert answer.status_code == 422 and kept() == before
    assert "does not say which form it is" in words(answer)
    form = forms_of(answer.content.decode(), target(case))[-1]
    files = {n: v for n, v in again(case, data).items() if isinstance(v, SimpleUploadedFile)}
    assert client.post(form.action, {**form.filled(), **files}).status_code == 302


@pytest.mark.parametrize("name", CHANGING)
@pytest.mark.parametrize("told", [True, False], ids=["from an old page", "from a page that says nothing"])
def test_an_old_page_changes_nothing_and_loses_nothing(job: Job, name: str, told: bool) -> None:
    case = CASES[name](job)
    assert case.meanwhile is not None, "what another person does to the row meanwhile"
    client = signed_in(case)
    data = read(client, case)
    assert data["drawn_from"] and data["seen"]
    case.meanwhile()
    before, stood = kept(), rows()
    if not told:
        data |= {"drawn_from": "", "seen": ""}
    answer = client.post(target(case), data)
    assert answer.status_code == 409, answer.status_code
    assert kept() == before and rows() == stood
    said = "has changed since the page was read" if told else "does not say what it showed"
    assert said in words(answer) and 'class="changed"' in words(answer)
    typed = [v for n, v in case.typed.items() if n not in BUTTONS and isinstance(v, str) and not v.isdigit()]
    assert all(value in answer.content.decode() for value in typed)
    page = answer.content.decode()
    form = next(
        f for f in forms_of(page, target(case)) if f.action == target(case) and "drawn_from" in f.names
    )
    buttons = {n: v for n, v in case.typed.items() if n in BUTTONS}
    multiple = {n: v for n, v in case.typed.items() if isinstance(v, list)}
    files = {n: v for n, v in again(case, data).items() if isinstance(v, SimpleUploadedFile)}
    sent = client.post(target(case), {**form.filled(), **buttons, **multiple, **files})
    assert sent.status_code == (422 if case.over else 302), words(sent)[:3000]
    if told and not case.over:
        assert case.both()


def rows() -> list[Any]:
    """Every row that a case here changes, cell by cell."""
    models = (
        Firm,
        User,
        Certificate,
        Crane,
        Wrench,
        Sling,
        EquipmentRecord,
        LoadChart,
        TurbineModel,
        Job,
        Permit,
    )
    more = (
        Correction, EarlyRelease, CrewDay, Crew, Absence, ClosedDays, CraneBooking, Device, Paper, Contact,
        Kit,
    )  # fmt: skip
    return [list(m._base_manager.order_by("pk").values()) for m in (*models, *more)]


@pytest.mark.parametrize("name", ["permit-add", "crew-add", "pour-truck", "person: card", "meters-read"])
def test_a_page_that_was_gone_back_to_keeps_another_row_only_when_it_is_sent_once_more(
    job: Job, name: str
) -> None:
    """A browser's Back shows the form with its old id: other words under it are no second press."""
    case = CASES[name](job)
    client = signed_in(case)
    data = read(client, case)
    assert client.post(target(case), data).status_code == 302
    other = {
        "permit-add": {"asked_of": "Plum Township"},
        "crew-add": {"name": "Yard crew"},
        "pour-truck": {"truck-truck": "32", "truck-ticket": "T-3232"},
        "person: card": {"number": "R-2"},
        "meters-read": {"production_kwh": "1300"},
    }[name]
    before = kept()
    answer = client.post(target(case), {**data, **other})
    assert answer.status_code == 422 and kept() == before
    assert "that was saved" in words(answer)
    assert all(value in answer.content.decode() for value in other.values())
    form = case.form(answer.content.decode())
    buttons = {n: v for n, v in case.typed.items() if n in BUTTONS}
    multiple = {n: v for n, v in case.typed.items() if isinstance(v, list)}
    assert client.post(target(case), {**form.filled(), **buttons, **multiple}).status_code == 302
    assert kept() != before


def test_two_people_who_add_the_same_make_two_rows(job: Job) -> None:
    case = CASES["permit-add"](job)
    sent = [(client, read(client, case)) for client in (signed_in(case), signed_in(case))]
    before = Permit.objects.count()
    assert [client.post(case.page, data).status_code for client, data in sent] == [302, 302]
    assert Permit.objects.count() == before + 2


def test_ids_are_taken_away_when_nobody_can_press_again(db: None) -> None:
    from uuid import uuid4

    from installs.sent.once import KEPT_FOR, remove_old

    now = timezone.now()
    for at in (now - KEPT_FOR - timedelta(hours=1), now - KEPT_FOR + timedelta(hours=1)):
        SentForm.objects.create(uuid=uuid4(), sha256="0" * 64, at=at)
    assert remove_old(now) == 1 and SentForm.objects.get().at > now - KEPT_FOR


def test_what_is_kept_of_a_form_tells_nobody_without_the_key_what_was_typed(settings: Any) -> None:
    """A form may hold a password: who reads the table must not be able to try words against it."""
    from django.contrib.auth.models import AnonymousUser
    from django.test import RequestFactory

    from installs.sent.once import _digest

    kept = []
    for settings.SECRET_KEY in ("one" * 20, "one" * 20, "another" * 10):
        request = RequestFactory().post("/sign-in/", {"username": "alma", "password": "a common word"})
        request.user = AnonymousUser()
        kept.append(_digest(request))
    assert kept[0] == kept[1] != kept[2]
