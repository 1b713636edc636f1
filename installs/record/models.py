"""When a job's record was last gone over, and what was found."""

from __future__ import annotations

from django.db import models


class RecordCheck(models.Model):
    """The last check of one job's record.

    ``log_*`` and ``field_*`` say where log and field record ended when they were last found whole: lines
    taken from the end of a chain are missed by nothing in the chain itself.
    """

    job = models.OneToOneField("installs.Job", models.PROTECT, related_name="record_check")
    checked_at = models.DateTimeField()
    log_lines = models.PositiveIntegerField()
    entries = models.PositiveIntegerField()
    releases = models.PositiveIntegerField()
    files = models.PositiveIntegerField(default=0)
    faults = models.JSONField("what is broken, in words", default=list)
    whole_at = models.DateTimeField("last found whole", null=True, blank=True)
    log_end = models.PositiveIntegerField(default=0)
    log_end_hash = models.CharField(max_length=64, blank=True)
    field_end = models.PositiveIntegerField(default=0)
    field_end_hash = models.CharField(max_length=64, blank=True)

    def __str__(self) -> str:
        return f"record of {self.job}"

    @property
    def in_words(self) -> str:
        """How much there was, and whether it is as it was: "227 log lines, 84 entries, 12 files, whole"."""
        lines = f"{self.log_lines} log {'line' if self.log_lines == 1 else 'lines'}"
        entries = f"{self.entries} {'entry' if self.entries == 1 else 'entries'}"
        files = f", {self.files} {'file' if self.files == 1 else 'files'}" if self.files else ""
        return f"{lines}, {entries}{files}, {'broken' if self.faults else 'whole'}"


class FirmLogCheck(models.Model):
    """The last check of the firm's log: one row. ``end`` is where it ended when it was last found whole."""

    checked_at = models.DateTimeField()
    lines = models.PositiveIntegerField()
    faults = models.JSONField("what is broken, in words", default=list)
    whole_at = models.DateTimeField("last found whole", null=True, blank=True)
    end = models.PositiveIntegerField(default=0)
    end_hash = models.CharField(max_length=64, blank=True)

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="firm_log_check_one_row")]

    def __str__(self) -> str:
        return "firm's log"

    @property
    def in_words(self) -> str:
        """How long it is, and whether it is as it was: "1,204 lines, whole"."""
        lines = f"{self.lines:,} {'line' if self.lines == 1 else 'lines'}"
        return f"{lines}, {'broken' if self.faults else 'whole'}"
