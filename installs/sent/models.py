"""Forms that were sent and kept, so that none is kept twice."""

from __future__ import annotations

from django.db import models


class SentForm(models.Model):
    """One press of one form, kept in the transaction that kept what it said.

    ``uuid`` was made when the page was drawn. ``sha256`` is of what was sent, and by whom, under the server's
    key: the same id with other words in it is no second press. ``place`` is where the answer led.
    """

    uuid = models.UUIDField(primary_key=True)
    sha256 = models.CharField(max_length=64)
    place = models.CharField(max_length=500, blank=True)
    at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["at"], name="sent_form_by_time")]

    def __str__(self) -> str:
        return f"form {self.uuid} of {self.at:%F %T}"
