"""Private files named by their content: the same bytes are one file, whoever sends them."""

from __future__ import annotations

from django.db import models


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
        return f"{self.sha256[:2]}/{self.sha256}"
