"""The forms of kits, of the catalogue, and of the engineer's letter for a draft."""

from __future__ import annotations

from django.urls import reverse
from django.utils import timezone

from installs.jobs.models import Job
from installs.kits.models import Kit
from installs.kits.services import may_be_kept, open_questions, save_kit, take_kit
from tests.house.test_bad_input import counts, demo, in_the_database  # noqa: F401  (fixtures)
from tests.sent.make_case import Case, alma, changed, of


@of("acceptance-letter")
def _(job: Job) -> Case:
    from installs.jobs.parts import TABLE
    from tests.jobs.test_acceptance_letter import a_pdf

    TABLE["foundation"].draft_of(job).change(side_ft=19.0).save()
    draft = TABLE["foundation"].draft_of(Job.objects.get(pk=job.pk))
    waiting = [check.key for check in TABLE["foundation"].review(draft).checks if check.needs_answer]
    typed = {
        "checks": waiting,
        "license": "PE-8842",
        "written_on": job.local(timezone.now()).date().isoformat(),
        "reason": "Worked out in calculation 31-120.",
        "letter": ("letter.pdf", a_pdf(), "application/pdf"),
        "save": "",
    }
    return Case(reverse("acceptance-letter", args=[job.number, "foundation"]), typed)


# --- kits -------------------------------------------------------------------------------------------


def _kit(job: Job) -> Kit:
    return save_kit(job, "15 kW on 100 ft", "", may_be_kept(job), by=alma(), at=timezone.now())


@of("kit-of-job")
def _(job: Job) -> Case:
    return Case(reverse("kit-of-job", args=[job.number]), {"name": "15 kW on 100 ft", "save": ""})


@of("kit-of-job: row")
def _(job: Job) -> Case:
    page = reverse("kit-of-job", args=[job.number])
    return Case(page, {"kind": "tower", "name": "100 ft lattice", "add": ""})


@of("kit-archive")
def _(job: Job) -> Case:
    kit = _kit(job)
    action = reverse("kit-archive", args=["kit", kit.pk])
    return Case(reverse("kits"), action=action, meanwhile=changed(kit, note="The stout one"))


@of("kit-take")
def _(job: Job) -> Case:
    from tests.make import make_job

    other = make_job(by=alma(), at=timezone.now())
    return Case(reverse("kit-take", args=[other.number]), {"kit": str(_kit(job).pk), "save": ""})


@of("kit-questions")
def _(job: Job) -> Case:
    from tests.make import make_job

    other = make_job(by=alma(), at=timezone.now())
    take_kit(_kit(job), other, by=alma(), at=timezone.now())
    typed = {"questions": [str(question.pk) for question in open_questions(other)], "save": ""}
    return Case(reverse("kit-questions", args=[other.number]), typed)
