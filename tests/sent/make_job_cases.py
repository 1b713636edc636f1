"""The forms of a job: its facts, its papers, the pour, the lifts."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.urls import reverse
from django.utils import timezone

from installs.export.services import order_archive
from installs.inspection.models import Correction, Inspection
from installs.jobs.models import Job, PhaseState
from installs.jobs.services import answer_deviation, end_member
from installs.lift.models import LiftSignature, SignedSheet
from installs.papers.services import order_paper
from installs.people.models import Firm, User
from installs.pour.services import release_early
from installs.utility.models import ApplicationLine, UtilityApplication
from installs.utility.services import record_line
from installs.work.models import State
from tests.foundation.test_template import typed as survey_of
from tests.house.test_bad_input import counts, demo, in_the_database  # noqa: F401  (fixtures)
from tests.jobs.test_standing import release
from tests.papers.test_pages import as_if_printed
from tests.pour.test_pages import NOTICE
from tests.sent.make_case import Case, alma, changed, of, stands

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


@of("job-edit: end")
def _(job: Job) -> Case:
    member, other = job.members.filter(until=None).exclude(person=job.engineer)[:2]
    return Case(
        reverse("job-edit", args=[job.number]),
        {"end": str(member.pk)},
        meanwhile=lambda: end_member(job, other.person, by=alma(), at=timezone.now()),
        both=lambda: not job.members.filter(pk__in=[member.pk, other.pk], until=None).exists(),
    )


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


def _tower(job: Job, moment_kip_ft: float) -> None:
    """Another tower is released, on which the foundation in force does not stand."""
    from installs.jobs.parts import TABLE

    engineer = User.objects.get(username="lindqvist")
    TABLE["tower"].draft_of(Job.objects.get(pk=job.pk)).change(moment_kip_ft=moment_kip_ft).save()
    release(TABLE["tower"].draft_of(Job.objects.get(pk=job.pk)), "tower", alma(), engineer, timezone.now())


@of("release-stands")
def _(job: Job) -> Case:
    _tower(job, 480.0)
    return Case(
        reverse("release-stands", args=[job.number, "foundation"]),
        {"reason": "2 % more, inside the margin.", "license": "PE-8842"},
        meanwhile=lambda: _tower(job, 600.0),
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


@of("valuation-add")
def _(job: Job) -> Case:
    typed = {"covers": "contract", "usd": "118,400", "said_by": "A. Reyes", "said_on": "2026-03-04"}
    return Case(reverse("valuation-add", args=[job.number]), typed)


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
        "temperature-sensor": "edge",
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
    job = Job.objects.get(owner="Harrow School District")
    given = LiftSignature.objects.filter(revision__job=job, revision__part=part)
    SignedSheet.objects.filter(signature__in=given).delete()
    given.delete()
    typed = {"letter": "A", "role": "lift director"}
    page, action = (reverse(name, args=[job.number]) for name in (page, action))
    # the word that stops a lift is one of the limits that are signed
    return Case(page, typed, action=action, meanwhile=changed(Firm(pk=1), stop_word="avast"), by="ben")


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


@of("archive-order")
def _(job: Job) -> Case:
    page, action = (reverse(name, args=[job.number]) for name in ("papers", "archive-order"))
    return Case(page, {}, action=action)


@of("archive-stop")
def _(job: Job) -> Case:
    order_archive(job, by=alma(), at=timezone.now())
    page, action = (reverse(name, args=[job.number]) for name in ("papers", "archive-stop"))
    return Case(page, {}, action=action)


def _paper(job: Job, name: str, state: State, typed: dict[str, Any] | None = None, **more: Any) -> Case:
    paper = order_paper(job, "permit packet", by=alma(), at=timezone.now())
    if state is State.DONE:
        as_if_printed(paper)
    paper.work.state = state
    paper.work.save()
    action = reverse(name, args=[job.number, paper.pk])
    return Case(reverse("papers", args=[job.number]), typed or {}, action=action, **more)


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
    return _paper(job, "paper-seal", State.DONE, typed, meanwhile=lambda: _tower(job, 480.0))


# --- phases -----------------------------------------------------------------------------------------


@of("phase")
def _(job: Job) -> Case:
    job = Job.objects.get(owner="Tilley Farm")
    action = reverse("phase", args=[job.number, "maintenance"])
    changed(job.phases.get(key="maintenance"), finished_at=None, finished_by=None)()
    row = job.phases.get(key="maintenance")
    tilda = User.objects.get(username="tilda")
    return Case(
        reverse("job-book", args=[job.number]),
        {"do": "finish"},
        action=action,
        meanwhile=changed(row, started_by=tilda),
    )


@of("phase: start")
def _(job: Job) -> Case:
    """Of a step whose gate is open."""
    job = Job.objects.get(owner="Tilley Farm")
    row = job.phases.get(key="maintenance")
    job.phases.filter(pk=row.pk).delete()
    back = {"job": job, "key": "maintenance", "started_at": row.started_at, "started_by": row.started_by}
    return Case(
        reverse("job-book", args=[job.number]),
        {"do": "start"},
        action=reverse("phase", args=[job.number, "maintenance"]),
        meanwhile=lambda: PhaseState.objects.create(**back),
    )


# --- the application to the utility -----------------------------------------------------------------


@of("utility-edit")
def _(job: Job) -> Case:
    row = UtilityApplication.objects.create(job=job, account="30-1")
    return Case(
        reverse("utility-edit", args=[job.number]),
        {"meter_number": "M 7", "save": ""},
        meanwhile=changed(row, account="30-2"),
        both=stands(row, meter_number="M 7", account="30-2"),
    )


@of("utility-state-add")
def _(job: Job) -> Case:
    page, action = (reverse(name, args=[job.number]) for name in ("utility", "utility-state-add"))
    return Case(page, {"state": "sent", "on": "2026-03-04", "by_whom": "A. Reyes"}, action=action)


@of("utility-strike")
def _(job: Job) -> Case:
    row = ApplicationLine(state="sent", on=date(2026, 3, 4), by_whom="A. Reyes")
    record_line(job, row, by=alma(), at=timezone.now())
    action = reverse("utility-strike", args=[job.number, row.pk])
    return Case(
        reverse("utility", args=[job.number]),
        {"reason": "It was not sent."},
        action=action,
        meanwhile=changed(row, number="A-9"),
    )
