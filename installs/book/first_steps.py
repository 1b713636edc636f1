"""What a firm does first, and what a new job wants until its permit packet: each line with its page.

Every line is read from the record, so that it ticks itself off.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from django.urls import reverse

from installs.jobs.getters import letters_in_force
from installs.jobs.models import Job
from installs.jobs.parts import TABLE
from installs.kits.models import Kit, KitTaking
from installs.kits.services import open_questions
from installs.papers.models import Paper, PaperKind
from installs.people.models import Firm, Role, User
from installs.turbine.models import TurbineModel

# the way of a design: the foundation stands on the tower, the tower on its head
WAY = (
    ("turbine", "The machine from the catalogue, hub height, how it is stopped."),
    ("tower", "Sections, joints and the maker's base reactions."),
    ("site", "Boundaries, buildings and lines for setbacks and the year's energy."),
    ("foundation", "Soil, water, pad and anchor bolts under the tower."),
    ("ground_station", "Inverter, runs, breaker and grounding to the utility's service."),
)


@dataclass(frozen=True)
class Step:
    title: str
    why: str
    page: str
    done: bool
    state: str = ""


def next_of(steps: list[Step]) -> Step | None:
    return next((step for step in steps if not step.done), None)


def firm_steps() -> list[Step]:
    """Up to the first job; then its own list goes on."""
    firm = Firm.objects.first()
    lines = (
        ("The firm", "Name, license, phone, mark and insurance, as papers print them; the limits of a lift.",
         "firm", firm is not None and bool(firm.name and firm.license_number and firm.phone)),
        ("The engineer", "Whoever seals the design: a name is enough, nobody has to sign in.",
         "person-add", User.objects.current().filter(role=Role.ENGINEER).exists()),
        ("A machine", "The turbine as its maker's papers state it, with its power curve.",
         "turbine-model-add", TurbineModel.objects.exists()),
        ("A job", "Owner, place, authority and utility.", "job-open", Job.objects.exists()),
    )  # fmt: skip
    return [Step(title, why, reverse(page), done) for title, why, page, done in lines]


def job_steps(
    job: Job, ordered: Collection[str] | None = None, letters: Mapping[str, str] | None = None
) -> list[Step]:
    """From the machine to the packet; none once a permit packet was ordered, or all of it is built on.

    ``ordered`` are the kinds of the papers that the job has, ``letters`` those of its releases in force by
    part, where the caller has read them.
    """
    kinds = job.papers.values_list("kind", flat=True) if ordered is None else ordered
    if job.archived_on or PaperKind.PERMIT_PACKET in kinds:
        return []
    released = {part: r.letter for part, r in letters_in_force(job).items()} if letters is None else letters
    steps = [*_kit(job, released), *(_of_part(job, key, why, released, ordered is None) for key, why in WAY)]
    page = reverse("papers", args=[job.number])
    packet = "Every sheet of the five parts with the calculation appendix: order it there."
    return [*steps, Step("Permit packet", packet, page, done=False)]


def _kit(job: Job, released: Mapping[str, str]) -> list[Step]:
    """The kit that the job began with; offered while nothing is drawn and the firm has one."""
    if released:  # what waits of a kit is said by the release that it closes
        return []
    taking = KitTaking.objects.filter(job=job).select_related("kit").first()
    if taking is not None:
        waiting = len(open_questions(job))
        state = f"{waiting} to confirm" if waiting else "confirmed"
        page = reverse("kit-questions", args=[job.number])
        return [Step(f"Kit {taking.kit.name}", "What may be another at this site.", page, not waiting, state)]
    drawn = any(TABLE[key].draft_of(job).pk for key, _ in WAY)
    if drawn or not Kit.objects.filter(archived_on=None).exists():
        return []
    page = reverse("kit-take", args=[job.number])
    return [Step("Begin with a kit", "The drafts of a job like it; or go on without.", page, done=False)]


def _of_part(job: Job, key: str, why: str, released: Mapping[str, str], asks_drafts: bool) -> Step:
    part = TABLE[key]
    letter = released.get(key, "")
    if letter:
        state = f"released {letter}"
    else:
        state = "draft saved, not released" if asks_drafts and part.draft_of(job).pk else ""
    return Step(part.title, why, reverse(part.page, args=[job.number]), bool(letter), state)


def first_job() -> Job | None:
    """The oldest job that works toward its packet, while no job of the firm has ordered one."""
    if Paper.objects.filter(kind=PaperKind.PERMIT_PACKET).exists():
        return None
    return Job.objects.active().order_by("created_at", "pk").first()


def is_first_day() -> bool:
    """Until the first permit packet was ordered."""
    return not Paper.objects.filter(kind=PaperKind.PERMIT_PACKET).exists()
