"""Calendar feeds: the days of a person, a crew or a crane under an address that nobody can guess."""

from __future__ import annotations

from typing import Any

from django.db import models


class Feed(models.Model):
    """One address. Its secret is kept as a hash; a newer one of the same ends it."""

    person = models.ForeignKey("installs.User", models.PROTECT, null=True, blank=True, related_name="feeds")
    crew = models.ForeignKey("crew.Crew", models.PROTECT, null=True, blank=True, related_name="feeds")
    crane = models.ForeignKey("installs.Crane", models.PROTECT, null=True, blank=True, related_name="feeds")
    sha256 = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey("installs.User", models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(person__isnull=False, crew__isnull=True, crane__isnull=True)
                | models.Q(person__isnull=True, crew__isnull=False, crane__isnull=True)
                | models.Q(person__isnull=True, crew__isnull=True, crane__isnull=False),
                name="feed_of_one",
            )
        ]

    def __str__(self) -> str:
        return f"calendar of {self.of}"

    @property
    def of(self) -> Any:
        """Whose days it gives."""
        return next(each for each in (self.person, self.crew, self.crane) if each is not None)

    @property
    def open(self) -> bool:
        """Neither ended nor of somebody or something that is archived."""
        return self.ended_at is None and self.of.archived_on is None

    def shown(self) -> list[tuple[Any, str, str]]:
        """What whoever ends it has before them."""
        return [("state", str(self), "ended" if self.ended_at else "open")]
