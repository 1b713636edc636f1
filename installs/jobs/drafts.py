"""The editable draft of a part, and rows of figures inside it."""

from __future__ import annotations

from typing import Any, ClassVar, Self

from django.db import models

from installs.jobs.models import Job


class Draft(models.Model):
    """What every part's design has. A part adds ``job`` and its own quantities.

    ``notes`` holds, by field, where a number comes from; ``typed`` the text as a person typed it.
    """

    PART: ClassVar[str]
    BOOKKEEPING: ClassVar[frozenset[str]] = frozenset({"id", "job", "typed", "changed_at", "changed_by"})

    notes = models.JSONField(default=dict, blank=True)
    typed = models.JSONField(default=dict, blank=True)
    changed_at = models.DateTimeField(null=True, blank=True)
    changed_by = models.ForeignKey("installs.User", models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        abstract = True

    @classmethod
    def of(cls, job: Job, **which: Any) -> Self:
        """The job's draft, or a new unsaved one with the defaults."""
        return cls._default_manager.filter(job=job, **which).first() or cls(job=job, **which)

    @property
    def part_key(self) -> str:
        return self.PART

    def inputs(self) -> dict[str, Any]:
        """Every figure of the draft as JSON values: what a release freezes and an acceptance is bound to."""
        return {
            field.name: field.value_from_object(self)
            for field in self._meta.concrete_fields
            if field.name not in self.BOOKKEEPING
        }
