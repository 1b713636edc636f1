"""Private files named by their content: the same bytes are one file, whoever sends them."""

from __future__ import annotations

from django.db import models


def name_of(sha256: str) -> str:
    """Under which the storage has the bytes of this hash."""
    return f"{sha256[:2]}/{sha256}"


class StoredFile(models.Model):
    sha256 = models.CharField(max_length=64, unique=True)
    size_bytes = models.PositiveBigIntegerField()
    content_type = models.CharField(max_length=80)
    label = models.CharField("name as sent", max_length=160, blank=True)
    stored_by = models.ForeignKey("installs.User", models.PROTECT, null=True, related_name="+")
    stored_at = models.DateTimeField()

    def __str__(self) -> str:
        return self.label or self.sha256[:12]

    @property
    def storage_name(self) -> str:
        return name_of(self.sha256)


class Sending(models.Model):
    """Somebody sent the bytes of a file: only they, and who sees a record of it, may name it in an entry."""

    file = models.ForeignKey(StoredFile, models.CASCADE, related_name="sendings")
    person = models.ForeignKey("installs.User", models.CASCADE, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["file", "person"], name="file_sent_once_a_person")]

    def __str__(self) -> str:
        return f"{self.file} from {self.person}"
