"""Every form that is posted: pressed twice it is one, from an old page it decides nothing, nothing is lost.

The forms are those of the URL patterns, so that a new one without a line here fails. A browser is played: the
page is fetched, and its form filled as it stands but for what is typed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from crew.plan.models import Absence, Crew, CrewDay
from crew.plan.services import add_day, strike_day
from installs.checklists.models import Device
from installs.equipment.models import Crane, EquipmentRecord, LoadChart, Sling, Wrench
from installs.inspection.models import Correction, Inspection
from installs.jobs.design_views import DECISIONS
from installs.jobs.models import Job
from installs.jobs.services import answer_deviation
from installs.lift.models import LiftSignature
from installs.papers.models import Paper
from installs.papers.services import order_paper
from installs.people.models import Certificate, Firm, User
from installs.permits.models import Permit
from installs.pour.models import EarlyRelease
from installs.pour.services import release_early
from installs.sent.models import SentForm
from installs.sent.once import ENTRIES
from installs.turbine.models import TurbineModel
from installs.typed import RowForm
from installs.work.models import State
from tests.equipment.test_equipment import CHART, CRANE
from tests.foundation.test_template import typed as survey_of
from tests.house.page_forms import PageForm, forms_of
from tests.house.test_bad_input import counts, demo, in_the_database  # noqa: F401  (fixtures)
from tests.jobs.test_standing import release
from tests.papers.test_pages import as_if_printed
from tests.people.test_access import VIEWS, url_for
from tests.pour.test_pages import NOTICE
from tests.turbine.test_pages import figures as turbine_figures

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(connection.vendor != "sqlite", reason="the demo is copied by SQLite"),
]

PDF = b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\n%%EOF\n"


@dataclass
class Case:
    """One form: the page it stands on, where it posts, and what is typed over what stands in it.

    ``meanwhile`` is what another person does to the same row after the page was read, and ``both`` says
    whether both changes stand in the end. A form that adds a row has neither.
    """

    page: str
    typed: dict[str, Any] = field(default_factory=dict)
    action: str = ""
    meanwhile: Callable[[], Any] | None = None
    both: Callable[[], bool] = lambda: True
    by: str = "office"
    over: bool = False  # what the other did leaves nothing to do

    def form(self, html: str) -> PageForm:
        plain = {name for name in self.typed if name not in BUTTONS}
        path = self.page.partition("?")[0]
        found = [f for f in forms_of(html, path) if at(f) == (self.action or path) and plain <= f.names]
        return found[0]

    def data(self, form: PageForm) -> dict[str, Any]:
        typed = {n: SimpleUploadedFile(*v) if isinstance(v, tuple) else v for n, v in self.typed.items()}
        return {**form.filled(), **typed}


def at(form: PageForm) -> str:
    return form.action.partition("#")[0]


BUTTONS = {"save", "add", "add-card", "add-record", "add-chart", "do", "kind"}
CASES: dict[str, Callable[[Job], Case]] = {}


def of(*names: str) -> Callable[[Callable[[Job], Case]], Callable[[Job], Case]]:
    """The case of the view with this name; where one view has several forms, "name: form"."""

    def keep(make: Callable[[Job], Case]) -> Callable[[Job], Case]:
        CASES.update(dict.fromkeys(names, make))
        return make

    return keep


def alma() -> User:
    return User.objects.get(username="alma")


def changed(row: Any, **fields: Any) -> Callable[[], Any]:
    return lambda: type(row)._base_manager.filter(pk=row.pk).update(**fields)


def stands(row: Any, **fields: Any) -> Callable[[], bool]:
    return lambda: type(row)._base_manager.filter(pk=row.pk, **fields).exists()


# --- people and the firm ----------------------------------------------------------------------------


@of("firm")
def _(job: Job) -> Case:
    row = Firm.objects.get()
    return Case(
        reverse("firm"),
        {"town": "Osier, ND"},
        meanwhile=changed(row, phone="555-0177"),
        both=stands(row, town="Osier, ND", phone="555-0177"),
    )


@of("person-add")
def _(job: Job) -> Case:
    typed = {"full_name": "Ines Moor", "initials": "IM", "username": "ines", "role": "crew", "save": ""}
    return Case(reverse("person-add"), typed)


@of("person")
def _(job: Job) -> Case:
    row = User.objects.get(username="gus")
    return Case(
        reverse("person", args=[row.pk]),
        {"phone": "555-0123", "save": ""},
        meanwhile=changed(row, full_name="Gus Lund-Hale"),
        both=stands(row, phone="555-0123", full_name="Gus Lund-Hale"),
    )


@of("person: card")
def _(job: Job) -> Case:
    page = reverse("person", args=[User.objects.get(username="gus").pk])
    return Case(page, {"kind": "rigger", "number": "R-1", "add-card": ""})


@of("person-archive")
def _(job: Job) -> Case:
    row = User.objects.get(username="gus")
    page = reverse("person", args=[row.pk])
    return Case(page, action=f"{page}archive/", meanwhile=changed(row, role="foreman"))


@of("card-archive")
def _(job: Job) -> Case:
    row = Certificate.objects.filter(archived_on=None).first()
    return Case(
        reverse("person", args=[row.person_id]),
        action=reverse("card-archive", args=[row.pk]),
        meanwhile=changed(row, number="X-1"),
    )


@of("phone-end")
def _(job: Job) -> Case:
    row = Device.objects.filter(ended_at=None).first()
    ended = {"ended_at": timezone.now(), "ended_by": alma(), "ended_why": "Fell off the tower."}
    return Case(
        reverse("phone-end", args=[row.pk]),
        {"why": "Lost at the quarry."},
        meanwhile=changed(row, **ended),
        over=True,
    )


# --- equipment --------------------------------------------------------------------------------------

ADDED = {
    "crane": {**CRANE, "unit_number": "T-99", "save": "save"},
    "wrench": {"serial": "W-99", "name": "click", "low_ft_lb": "50", "high_ft_lb": "250", "save": "save"},
    "sling": {"tag": "S-99", "kind": "shackle", "rating_lb": "9500", "save": "save"},
}
OTHERS = {
    "crane": (Crane, {"owner_firm": "Hale Rigging"}, {"weight_lb": 90_000.0}),
    "wrench": (Wrench, {"name": "the red one"}, {"high_ft_lb": 260.0}),
    "sling": (Sling, {"length_ft": "11"}, {"weight_lb": 17.5}),
}


def _equipment(kind: str) -> None:
    model, typed, other = OTHERS[kind]

    @of(f"{kind}-add")
    def _(job: Job) -> Case:
        return Case(reverse(f"{kind}-add"), ADDED[kind])

    @of(kind)
    def _(job: Job) -> Case:
        row = model.objects.filter(archived_on=None).first()
        page = reverse(kind, args=[row.pk])
        both = stands(row, **typed, **other)
        return Case(page, {**typed, "save": "save"}, meanwhile=changed(row, **other), both=both)

    @of(f"{kind}-archive")
    def _(job: Job) -> Case:
        row = model.objects.filter(archived_on=None).first()
        page = reverse(kind, args=[row.pk])
        return Case(page, action=f"{page}archive/", meanwhile=changed(row, **other))


for each in OTHERS:
    _equipment(each)


@of("crane: record")
def _(job: Job) -> Case:
    page = reverse("crane", args=[Crane.objects.first().pk])
    return Case(page, {"record-done_on": "2026-02-03", "record-reference": "R-9", "add-record": "add"})


@of("crane: chart")
def _(job: Job) -> Case:
    page = reverse("crane", args=[Crane.objects.first().pk])
    return Case(page, {**CHART, "chart-pasted": "radius_ft,130,145\n35,18000,16000\n40,17000,15200\n"})


@of("equipment-record-archive")
def _(job: Job) -> Case:
    row = EquipmentRecord.objects.filter(archived_on=None).exclude(crane=None).first()
    return Case(
        reverse("crane", args=[row.crane_id]),
        action=reverse("equipment-record-archive", args=[row.pk]),
        meanwhile=changed(row, archived_on=date(2026, 1, 2)),
    )


@of("load-chart-archive")
def _(job: Job) -> Case:
    row = LoadChart.objects.filter(archived_on=None).first()
    return Case(
        reverse("crane", args=[row.crane_id]),
        action=reverse("load-chart-archive", args=[row.pk]),
        meanwhile=changed(row, page="C-12"),
    )


@of("turbine-model-add")
def _(job: Job) -> Case:
    return Case(reverse("turbine-model-add"), turbine_figures())


@of("turbine-model")
def _(job: Job) -> Case:
    row = TurbineModel.objects.filter(archived_on=None).first()
    return Case(
        reverse("turbine-model", args=[row.pk]),
        {"name": f"{row.name} II"},
        meanwhile=changed(row, tail_ft=1.5),
        both=stands(row, name=f"{row.name} II", tail_ft=1.5),
    )


@of("turbine-model-archive")
def _(job: Job) -> Case:
    row = TurbineModel.objects.filter(archived_on=None).first()
    page = reverse("turbine-model", args=[row.pk])
    return Case(page, action=f"{page}archive/", meanwhile=changed(row, rated_kw=9.5))


@of("turbine-model-take-back")
def _(job: Job) -> Case:
    row = TurbineModel.objects.first()
    changed(row, archived_on=date(2026, 1, 2))()
    page = reverse("turbine-model", args=[row.pk])
    return Case(page, action=f"{page}take-back/", meanwhile=changed(row, archived_on=date(2026, 2, 3)))


# --- jobs -------------------------------------------------------------------------------------------


@of("job-open")
def _(job: Job) -> Case:
    typed = {"number": "2031-701", "owner": "Orrin", "place": "Plum Twp", "county": "Juniper", "state": "ND"}
    return Case(reverse("job-open"), {**typed, "zone": "America/Chicago", "save": ""})


@of("job-edit")
def _(job: Job) -> Case:
    return Case(
        reverse("job-edit", args=[job.number]),
        {"parcel": "14-220", "save": ""},
        meanwhile=changed(job, address="9 Osier Rd"),
        both=stands(job, parcel="14-220", address="9 Osier Rd"),
    )


@of("job-edit: member")
def _(job: Job) -> Case:
    person = User.objects.filter(is_active=True).exclude(memberships__job=job).first()
    return Case(reverse("job-edit", args=[job.number]), {"person": str(person.pk), "add": ""})


@of("job-archive")
def _(job: Job) -> Case:
    page, archive = (reverse(name, args=[job.number]) for name in ("job-edit", "job-archive"))
    return Case(page, action=archive, meanwhile=changed(job, owner="Another owner"))


@of("deviation-answer")
def _(job: Job) -> Case:
    found = next(d for d in job.deviations.all() if d.is_open)
    engineer = User.objects.get(username="lindqvist")
    return Case(
        reverse("deviation-answer", args=[job.number, found.number]),
        {"decision": "accept", "reason": "Core drilled at the edge."},
        meanwhile=lambda: answer_deviation(found, "repair", "Grout it.", by=engineer, at=timezone.now()),
        by="engineer",
    )


@of("release-stands")
def _(job: Job) -> Case:
    engineer = User.objects.get(username="lindqvist")
    from installs.jobs.parts import TABLE

    draft = TABLE["tower"].draft_of(job).change(moment_kip_ft=480.0)
    draft.save()
    release(TABLE["tower"].draft_of(Job.objects.get(pk=job.pk)), "tower", alma(), engineer, timezone.now())
    return Case(
        reverse("release-stands", args=[job.number, "foundation"]),
        {"reason": "2 % more, inside the margin.", "license": "PE-8842"},
        by="engineer",
    )


@of("lists-copy")
def _(job: Job) -> Case:
    from tests.make import make_job

    other = make_job()
    return Case(reverse("job-lists", args=[other.number]), action=reverse("lists-copy", args=[other.number]))


@of("permit-add")
def _(job: Job) -> Case:
    return Case(reverse("permit-add", args=[job.number]), {"kind": "building", "asked_of": "Juniper County"})


@of("permit")
def _(job: Job) -> Case:
    row = job.permits.first()
    return Case(
        reverse("permit", args=[job.number, row.pk]),
        {"note": "By phone."},
        meanwhile=changed(row, number="BP-2031-77"),
        both=stands(row, note="By phone.", number="BP-2031-77"),
    )


@of("inspection-add")
def _(job: Job) -> Case:
    page, add = (reverse(name, args=[job.number]) for name in ("inspections", "inspection-add"))
    typed = {"kind": "footing", "inspector": "D. Moe", "inspected_on": "2026-05-04", "passed": "yes"}
    return Case(page, {**typed, "number": "F-77"}, action=add)


@of("correction-answer")
def _(job: Job) -> Case:
    visit = Inspection.objects.create(
        job=job, kind="footing", inspector="D. Moe", inspected_on=date(2026, 5, 4), passed=False,
        recorded_by=alma(), recorded_at=timezone.now(),
    )  # fmt: skip
    row = Correction.objects.create(inspection=visit, words="two chairs short")
    answered = {"answered_at": timezone.now(), "answered_by": alma(), "answer": "Set."}
    return Case(
        reverse("inspections", args=[job.number]),
        {"answer": "Done, seen by B. O."},
        action=reverse("correction-answer", args=[job.number, row.pk]),
        meanwhile=changed(row, **answered),
    )


@of("meters-read")
def _(job: Job) -> Case:
    page, action = (reverse(name, args=[job.number]) for name in ("inspections", "meters-read"))
    return Case(page, {"read_on": "2026-05-04", "production_kwh": "1200", "note": "new meter"}, action=action)


# --- the pour ---------------------------------------------------------------------------------------


def _pour(job: Job, name: str, typed: dict[str, Any], **more: Any) -> Case:
    page, action = (reverse(each, args=[job.number]) for each in ("pour", name))
    return Case(page, typed, action=action, **more)


@of("pour-truck")
def _(job: Job) -> Case:
    at = job.local(timezone.now() - timedelta(days=1)).strftime("%Y-%m-%dT08:00")
    typed = {"truck-truck": "31", "truck-ticket": "T-3131", "truck-yards": "9", "truck-batched": at}
    return _pour(job, "pour-truck", typed)


@of("pour-temperature")
def _(job: Job) -> Case:
    at = job.local(timezone.now() - timedelta(days=1)).strftime("%Y-%m-%dT08:00")
    typed = {
        "temperature-sensor": "center",
        "temperature-temp": "61",
        "temperature-unit": "F",
        "temperature-taken": at,
    }
    return _pour(job, "pour-temperature", typed)


@of("pour-logger")
def _(job: Job) -> Case:
    on = job.local(timezone.now() - timedelta(days=2))
    lines = "".join(f"{on:%Y-%m-%d} {hour:02}:00,{50 + hour}\n" for hour in range(6))
    file = ("log.csv", f"time,center\n{lines}".encode(), "text/csv")
    typed = {"logger-file": file, "logger-unit": "F", "logger-clock": "site"}
    return _pour(job, "pour-logger", typed)


@of("strength-notice")
def _(job: Job) -> Case:
    written = job.local(timezone.now()).date().isoformat()
    typed = {f"notice-{n}": v for n, v in {**NOTICE, "written_on": written, "age_days": "1"}.items()}
    return _pour(job, "strength-notice", typed)


@of("early-release")
def _(job: Job) -> Case:
    engineer = User.objects.get(username="lindqvist")
    return _pour(
        job,
        "early-release",
        {"early-engineer": str(engineer.pk), "early-reason": "Low winds, field-cured strength is there."},
        meanwhile=lambda: release_early(job, engineer, "For the tower only.", by=engineer, at=timezone.now()),
        by="engineer",
    )


@of("early-release-withdraw")
def _(job: Job) -> Case:
    engineer, now = User.objects.get(username="lindqvist"), timezone.now()
    row = release_early(job, engineer, "Low winds.", by=engineer, at=now)
    return Case(
        reverse("pour", args=[job.number]),
        {"reason": "The edge froze."},
        action=reverse("early-release-withdraw", args=[job.number, row.pk]),
        # no service changes its words: whatever did, who read others decides nothing
        meanwhile=changed(row, reason="Low winds, until Friday."),
        by="engineer",
    )


# --- design, papers, lifts --------------------------------------------------------------------------


@of("foundation-survey")
def _(job: Job) -> Case:
    from installs.foundation.standing import standing_of

    standing = standing_of(job)
    page, action = (reverse(name, args=[job.number]) for name in ("foundation-template", "foundation-survey"))
    measured = survey_of(standing.figures, standing.facts)
    return Case(page, {"measured": measured, "do": "record"}, action=action)


def _signing(job: Job, page: str, action: str, part: str) -> Case:
    job = Job.objects.get(number="2026-008")
    LiftSignature.objects.filter(revision__job=job, revision__part=part).delete()
    typed = {"letter": "A", "role": "lift director"}
    page, action = (reverse(name, args=[job.number]) for name in (page, action))
    return Case(page, typed, action=action, by="ben")


@of("lift-sign")
def _(job: Job) -> Case:
    return _signing(job, "lift", "lift-sign", "tower lift")


@of("turbine-lift-sign")
def _(job: Job) -> Case:
    return _signing(job, "turbine-lift", "turbine-lift-sign", "turbine lift")


@of("order-paper")
def _(job: Job) -> Case:
    page, action = (reverse(name, args=[job.number]) for name in ("papers", "order-paper"))
    return Case(page, {"kind": "permit packet"}, action=action)


def _paper(job: Job, name: str, state: State, typed: dict[str, Any] | None = None) -> Case:
    paper = order_paper(job, "permit packet", by=alma(), at=timezone.now())
    if state is State.DONE:
        as_if_printed(paper)
    paper.work.state = state
    paper.work.save()
    action = reverse(name, args=[job.number, paper.pk])
    return Case(reverse("papers", args=[job.number]), typed or {}, action=action)


@of("paper-again")
def _(job: Job) -> Case:
    return _paper(job, "paper-again", State.FAILED)


@of("paper-stop")
def _(job: Job) -> Case:
    return _paper(job, "paper-stop", State.QUEUED)


@of("paper-seal")
def _(job: Job) -> Case:
    import io

    from pypdf import PdfWriter

    sheet, content = PdfWriter(), io.BytesIO()
    sheet.add_blank_page(612, 792)
    sheet.write(content)
    engineer = User.objects.get(username="lindqvist")
    typed = {
        "file": ("sealed.pdf", content.getvalue(), "application/pdf"), "engineer": str(engineer.pk),
        "sealed_on": "2026-05-05", "sheets": ["F-1"],
    }  # fmt: skip
    return _paper(job, "paper-seal", State.DONE, typed)


# --- crew days --------------------------------------------------------------------------------------


def _day(job: Job, days: int = 40) -> CrewDay:
    on = job.local(timezone.now()).date() + timedelta(days=days)
    return add_day(job, "survey", on, Crew.objects.first(), by=alma(), at=timezone.now())


@of("crew-days")
def _(job: Job) -> Case:
    on = job.local(timezone.now()).date() + timedelta(days=50)
    typed = {
        "job": str(job.pk),
        "phase": "survey",
        "on": on.isoformat(),
        "crew": str(Crew.objects.first().pk),
    }
    return Case(reverse("crew-days"), {**typed, "kind": "work", "people": []})


@of("crew-day: move")
def _(job: Job) -> Case:
    row = _day(job)
    on = (row.on + timedelta(days=1)).isoformat()
    page = reverse("crew-day", args=[row.pk])
    return Case(page, {"on": on, "why": "Rain.", "do": "move"}, meanwhile=changed(row, note="Bring the saw."))


@of("crew-day")
def _(job: Job) -> Case:
    row = _day(job)
    page = reverse("crew-day", args=[row.pk])
    return Case(page, {"why": "Rain.", "do": "strike"}, meanwhile=changed(row, note="Bring the saw."))


@of("plan-issue")
def _(job: Job) -> Case:
    row = _day(job)
    return Case(
        reverse("crew-days"),
        {"what": "Survey put in."},
        action=reverse("plan-issue"),
        meanwhile=lambda: (strike_day(row, "Rain.", by=alma(), at=timezone.now()), _day(job, 41)),
    )


@of("crew-add")
def _(job: Job) -> Case:
    ben = User.objects.get(username="ben")
    return Case(reverse("crew-add"), {"name": "Night crew", "foreman": str(ben.pk), "people": []})


@of("crew")
def _(job: Job) -> Case:
    row = Crew.objects.first()
    people = [str(pk) for pk in row.people.values_list("pk", flat=True)]
    tilda = User.objects.get(username="tilda")
    return Case(
        reverse("crew", args=[row.pk]),
        {"name": "Day crew", "people": people},
        meanwhile=changed(row, foreman=tilda),
        both=stands(row, name="Day crew", foreman=tilda),
    )


@of("absence-add")
def _(job: Job) -> Case:
    typed = {"person": str(alma().pk), "first_on": "2031-05-04", "last_on": "2031-05-06"}
    return Case(reverse("absence-add"), typed)


@of("phase")
def _(job: Job) -> Case:
    job = Job.objects.get(number="2024-003")
    action = reverse("phase", args=[job.number, "maintenance"])
    changed(job.phases.get(key="maintenance"), finished_at=None, finished_by=None)()
    return Case(reverse("job-book", args=[job.number]), {"do": "finish"}, action=action)


# --- what holds for all -----------------------------------------------------------------------------


@pytest.fixture
def job(demo: None) -> Job:  # noqa: F811
    """That with a deviation to answer, a pour on record and a plan to come."""
    return Job.objects.get(number="2026-011")


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
    - {"crane: record", "crane: chart", "person: card", "job-edit: member", "release-stands", "lists-copy"}
    - {"pour-truck", "pour-temperature", "pour-logger", "strength-notice", "foundation-survey", "lift-sign"}
    - {"turbine-lift-sign", "order-paper", "paper-again", "paper-stop", "paper-seal", "crew-days", "phase"}
    - {"inspection-add", "meters-read", "job-open"}
    - {name for name in CASES if name.endswith("-add")}
)


def test_every_view_that_takes_a_form_has_a_case_here(client: Client, job: Job) -> None:
    """Or says by what else nothing is done twice there: a design page's decision, an entry's own id."""
    client.force_login(alma())
    named = {name.partition(":")[0] for name in CASES}
    for name, route, view in VIEWS:
        if name in ("sign-in", "sign-out"):
            continue
        if hasattr(view, "sends"):
            assert view.sends in (DECISIONS, ENTRIES) or name == "foundation-bars", name
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
    if name not in CHANGING and name not in ("paper-again", "paper-stop", "phase"):
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
    sent = client.post(target(case), {**form.filled(), **buttons, **multiple})
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
    more = (Correction, EarlyRelease, CrewDay, Crew, Absence, Device, Paper)
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
