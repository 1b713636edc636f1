"""The job, its members and phases, released designs, the log of events, and deviations."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.db import models

from installs.jobs.phases import STARTABLE
from installs.jobs.reading import known
from installs.people.access import may
from installs.people.models import User
from sitecalc.wording import day_words


def known_zone(name: str) -> None:
    try:
        ZoneInfo(name)
    except (KeyError, ValueError, OSError) as error:
        raise ValidationError("Not a time zone of the IANA list, like America/Chicago.") from error


class JobQuerySet(models.QuerySet["Job"]):
    def active(self) -> JobQuerySet:
        return self.filter(archived_on=None)

    def visible_to(self, user: User) -> JobQuerySet:
        """Office staff see every job, others the jobs they are members of."""
        if may(user, "see all jobs"):
            return self
        return self.filter(members__person=user, members__until=None)


class Job(models.Model):
    """One turbine installation for one owner at one site."""

    number = models.CharField(max_length=12, unique=True)
    owner = models.CharField(max_length=80)
    place = models.CharField("township or town", max_length=80)
    county = models.CharField(max_length=60)
    state = models.CharField(max_length=2)
    address = models.CharField("site address", max_length=160, blank=True)
    parcel = models.CharField("parcel number", max_length=60, blank=True)
    zone = models.CharField("time zone", max_length=40, default="America/Chicago", validators=[known_zone])
    authority = models.CharField("authority having jurisdiction", max_length=120, blank=True)
    authority_inspects_footing = models.BooleanField("the authority inspects the footing", default=True)
    authority_asks_electrical_permit = models.BooleanField(
        "the authority asks an electrical permit", default=True
    )
    utility = models.CharField(max_length=120, blank=True)
    description = models.CharField("scope in a line", max_length=160, blank=True)
    engineer = models.ForeignKey(
        "installs.User",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        verbose_name="engineer of record",
    )
    created_at = models.DateTimeField()
    archived_on = models.DateField(null=True, blank=True)

    objects = JobQuerySet.as_manager()

    class Meta:
        ordering = ["number"]

    def __str__(self) -> str:
        return f"{self.number} {self.owner}"

    @property
    def tz(self) -> ZoneInfo:
        return ZoneInfo(self.zone)

    def local(self, instant: datetime) -> datetime:
        return instant.astimezone(self.tz)


class JobNumber(models.Model):
    """A number that a job has or had: never another job's, for papers, phones and entries go by it."""

    job = models.ForeignKey(Job, models.PROTECT, related_name="numbers")
    number = models.CharField(max_length=12, unique=True)
    since = models.DateTimeField()

    class Meta:
        ordering = ["since", "pk"]

    def __str__(self) -> str:
        return f"{self.number} of {self.job}"


class Member(models.Model):
    """A person who works on a job and therefore sees it."""

    job = models.ForeignKey(Job, models.PROTECT, related_name="members")
    person = models.ForeignKey("installs.User", models.PROTECT, related_name="memberships")
    since = models.DateTimeField()
    until = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "person"], name="member_once")]

    def __str__(self) -> str:
        return f"{self.person} on {self.job}"


class PhaseState(models.Model):
    """Start and finish of one phase of a job. No row: to come."""

    job = models.ForeignKey(Job, models.PROTECT, related_name="phases")
    key = models.CharField(max_length=20)
    started_at = models.DateTimeField()
    started_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    finished_at = models.DateTimeField(null=True, blank=True)
    finished_by = models.ForeignKey("installs.User", models.PROTECT, null=True, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["job", "key"], name="phase_once"),
            models.CheckConstraint(condition=models.Q(key__in=list(STARTABLE)), name="phase_known"),
            models.CheckConstraint(
                condition=models.Q(finished_at=None) | models.Q(finished_at__gte=models.F("started_at")),
                name="phase_finishes_after_start",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.key} of {self.job}"


class RevisionQuerySet(models.QuerySet["DesignRevision"]):
    def newest(self, part: str) -> DesignRevision | None:
        """The release of a part in force among these; None while none is."""
        return self.filter(part=part).order_by("released_at", "pk").last()

    def in_force(self) -> dict[int, dict[str, DesignRevision]]:
        """The newest of each part, by job and part."""
        found: dict[int, dict[str, DesignRevision]] = {}
        for revision in self.order_by("released_at", "pk"):
            found.setdefault(revision.job_id, {})[revision.part] = revision
        return found


class DesignRevision(models.Model):
    """A part's design frozen under a letter. Gates, lists, signatures and papers cite these."""

    job = models.ForeignKey(Job, models.PROTECT, related_name="revisions")
    part = models.CharField(max_length=20)
    letter = models.CharField(max_length=3)
    inputs = models.JSONField()
    results = models.JSONField()
    checks = models.JSONField(help_text="each check's key, title, verdict, ratio, note, source, steps")
    # letters of the releases whose figures it took, by part; "" where a draft gave them. Of a release made
    # before this was kept nothing is said, and jobs/standing.py finds it from the figures
    stands_on = models.JSONField(default=dict)
    sha256 = models.CharField(max_length=64)
    released_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    released_at = models.DateTimeField()

    objects = RevisionQuerySet.as_manager()

    class Meta:
        ordering = ["released_at", "pk"]
        constraints = [models.UniqueConstraint(fields=["job", "part", "letter"], name="revision_letter_once")]

    def __str__(self) -> str:
        return f"{self.part} {self.letter} of {self.job.number}"


class WrittenWord(models.Model):
    """A named engineer's written word: given by the engineer, or recorded by the office from a letter."""

    engineer = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    license = models.CharField("engineer's license", max_length=60, blank=True)
    written_on = models.DateField("date of the engineer's word", null=True, blank=True)
    letter = models.ForeignKey("installs.StoredFile", models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        abstract = True

    @property
    def in_words(self) -> str:
        """ "R. Kowalke, PE, license ND 4411, in a letter of May 6, 2031": who said so, and how."""
        words = [self.engineer.named, *([f"license {self.license}"] if self.license else [])]
        if self.letter_id is not None and self.written_on is not None:
            words.append(f"in a letter of {day_words(self.written_on, year=True)}")
        return ", ".join(words)


class AcceptingWord(WrittenWord):
    """One check is accepted. ``recorded_by`` is empty where the engineer did it."""

    recorded_by = models.ForeignKey("installs.User", models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        abstract = True

    @property
    def word(self) -> dict[str, Any]:
        """What a release takes over from the draft's acceptance."""
        names = ("engineer", "license", "written_on", "letter", "recorded_by", "reason", "accepted_at")
        return {name: getattr(self, name) for name in names}


class Acceptance(AcceptingWord):
    """A named engineer's written acceptance of one failed or not-checked check of a release."""

    revision = models.ForeignKey(DesignRevision, models.PROTECT, related_name="acceptances")
    check_key = models.CharField(max_length=60)
    reason = models.TextField(max_length=2000)
    accepted_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["revision", "check_key"], name="acceptance_once")]

    def __str__(self) -> str:
        return f"{self.check_key} accepted by {self.engineer}"

    @property
    def check_title(self) -> str:
        """As pages and papers call the check, for its key is a program's."""
        titles = {check["key"]: str(check["title"]) for check in self.revision.checks}
        return titles.get(self.check_key, self.check_key)


class DraftAcceptance(AcceptingWord):
    """What an engineer accepts of the draft as it stands: bound to the hash of its inputs.

    A changed draft has another hash, so an acceptance of the old one no longer counts.
    """

    job = models.ForeignKey(Job, models.PROTECT, related_name="draft_acceptances")
    part = models.CharField(max_length=20)
    inputs_sha256 = models.CharField(max_length=64)
    check_key = models.CharField(max_length=60)
    reason = models.TextField(max_length=2000)
    accepted_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["job", "part", "inputs_sha256", "check_key"], name="draft_acceptance_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.check_key} of the {self.part} draft accepted by {self.engineer}"


class Event(models.Model):
    """One line of a job's log: written by every service that changes the job, never changed.

    ``hash`` covers the line and the hash before it in the same job, so that a line taken out or
    altered is found (sealing.py).
    """

    job = models.ForeignKey(Job, models.PROTECT, related_name="events")
    sequence = models.PositiveIntegerField()
    verb = models.CharField(max_length=40)
    what = models.CharField("in words", max_length=500)
    data = models.JSONField(default=dict)
    by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    at = models.DateTimeField()
    previous_hash = models.CharField(max_length=64)
    hash = models.CharField(max_length=64)

    class Meta:
        ordering = ["job", "sequence"]
        constraints = [models.UniqueConstraint(fields=["job", "sequence"], name="event_sequence_once")]

    def __str__(self) -> str:
        return self.what


class DeviationQuerySet(models.QuerySet["Deviation"]):
    def with_decision(self) -> DeviationQuerySet:
        """Each with the ``decision`` of its newest answer; None while nobody answered."""
        answers = known(DeviationAnswer.objects.filter(deviation=models.OuterRef("pk")), "answered_at")
        newest = answers.order_by("-answered_at", "-pk").values("decision")[:1]
        return self.annotate(decision=models.Subquery(newest))

    def open(self) -> DeviationQuerySet:
        """Those that ``is_open``, in one query."""
        accepted = models.Q(decision=DeviationAnswer.Decision.ACCEPT)
        return self.with_decision().filter(models.Q(decision=None) | ~accepted)


class Deviation(models.Model):
    """Work recorded as done although its gate was closed. Stands until it is accepted."""

    job = models.ForeignKey(Job, models.PROTECT, related_name="deviations")
    number = models.PositiveIntegerField()
    kind = models.CharField("by installs/jobs/deviations.py", max_length=40, default="other")
    title = models.CharField(max_length=80)
    what = models.TextField("what was recorded and what was closed", max_length=2000)
    gate = models.CharField(max_length=20, blank=True)
    engineer_decides = models.BooleanField("only an engineer can answer it", default=False)
    entry = models.ForeignKey("installs.Entry", models.PROTECT, null=True, related_name="deviations")
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")

    objects = DeviationQuerySet.as_manager()

    class Meta:
        ordering = ["job", "number"]
        constraints = [models.UniqueConstraint(fields=["job", "number"], name="deviation_number_once")]

    def __str__(self) -> str:
        return f"deviation {self.number} of {self.job.number}: {self.title}"

    @property
    def is_open(self) -> bool:
        """Until it is accepted, as it is or as it was repaired: a repair only ordered settles nothing."""
        return self.newest_decision != DeviationAnswer.Decision.ACCEPT

    @property
    def newest_decision(self) -> str | None:
        """Of its newest answer, as the query said it (``with_decision``) or by the answers."""
        if "decision" in self.__dict__:
            told: str | None = self.__dict__["decision"]
            return told
        answers = list(self.answers.all())
        return answers[-1].decision if answers else None

    @property
    def ordered(self) -> str:
        """ "to be repaired": what its newest answer orders; empty while there is none, or it is accepted."""
        return ORDERED.get(self.newest_decision or "", "")

    def shown(self) -> list[tuple[Any, str, str]]:
        """(key, label, words) of what is read by who answers it."""
        said = [("what", self.title, self.what)]
        return said + [
            (a.pk, f"Answer of {a.answered_by.full_name}", f"{a.decision}: {a.reason}")
            for a in self.answers.all()
        ]

    def waits_for(self, decision: str | None) -> str:
        """What its gate waits for, by the decision of its newest answer; empty when it is accepted."""
        if decision == DeviationAnswer.Decision.ACCEPT:
            return ""
        of = f"deviation {self.number} ({self.title})"
        if decision is None:
            return f"{of} not answered{' by the engineer' if self.engineer_decides else ''}"
        return f"{of} is {ORDERED[decision]}, and that is not accepted yet"


class DeviationAnswer(models.Model):
    class Decision(models.TextChoices):
        ACCEPT = "accept", "accept"
        REPAIR = "repair", "repair"
        REMOVE = "remove", "remove"

    deviation = models.ForeignKey(Deviation, models.PROTECT, related_name="answers")
    decision = models.CharField(max_length=10, choices=Decision.choices)
    reason = models.TextField(max_length=2000)
    engineer = models.ForeignKey("installs.User", models.PROTECT, null=True, blank=True, related_name="+")
    letter = models.ForeignKey("installs.StoredFile", models.PROTECT, null=True, blank=True, related_name="+")
    answered_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    answered_at = models.DateTimeField()

    class Meta:
        ordering = ["answered_at", "pk"]

    def __str__(self) -> str:
        return f"{self.decision}: {self.deviation}"


ORDERED = {
    DeviationAnswer.Decision.REPAIR.value: "to be repaired",
    DeviationAnswer.Decision.REMOVE.value: "to be removed",
}


class Confirmation(WrittenWord):
    """A named engineer's written word that a release stands, although what it stands on was released anew.

    ``in_force`` are the letters of all that it stands on when the engineer said so, ``inputs_sha256`` is of
    the figures that the release froze: with another letter in force, or other figures, it no longer counts.
    """

    revision = models.ForeignKey(DesignRevision, models.PROTECT, related_name="confirmations")
    inputs_sha256 = models.CharField(max_length=64, blank=True)
    recorded_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    in_force = models.JSONField()
    was_void = models.CharField("why it was void", max_length=500)
    reason = models.TextField(max_length=2000)
    confirmed_at = models.DateTimeField()

    class Meta:
        ordering = ["confirmed_at", "pk"]

    def __str__(self) -> str:
        return f"{self.revision} stands, by {self.engineer}"
