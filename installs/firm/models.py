"""Whom to call: outside parties of the firm and of one job."""

from __future__ import annotations

from django.core.validators import RegexValidator
from django.db import models

DIALED = RegexValidator(r"^[0-9+()./ xX-]+$", "Digits, spaces and + ( ) - . x only: phones dial it.")


def as_dialed(phone: str) -> str:
    """As a phone dials it: "+17015550160", an extension after a pause."""
    number, _, extension = phone.lower().partition("x")
    digits = "".join(c for c in number if c.isdigit() or c == "+")
    return f"{digits},{''.join(c for c in extension if c.isdigit())}" if extension.strip() else digits


class ContactKind(models.TextChoices):
    OWNER = "owner", "owner"
    LANDOWNER = "landowner", "landowner"
    NEIGHBOR = "neighbor", "neighbor"
    AUTHORITY = "authority", "authority having jurisdiction"
    UTILITY = "utility", "utility"
    INSPECTOR = "inspector", "inspector"
    PLANT = "plant", "ready-mix plant"
    LAB = "lab", "testing lab"
    CRANE = "crane rental", "crane rental"
    OTHER = "other", "other"


# a job names its own by these: the firm's row of that name is the job's
NAMED_BY_JOB = {ContactKind.AUTHORITY: "authority", ContactKind.UTILITY: "utility"}


class Contact(models.Model):
    """Somebody outside the firm. Without a job it is the firm's, and offered to every job."""

    job = models.ForeignKey(
        "installs.Job", models.PROTECT, null=True, related_name="contacts", editable=False
    )
    kind = models.CharField("what they are", max_length=12, choices=ContactKind.choices)
    name = models.CharField("company, office or person", max_length=120)
    person = models.CharField("ask for", max_length=80, blank=True)
    phone = models.CharField(max_length=40, blank=True, validators=[DIALED])
    mail = models.EmailField(blank=True)
    county = models.CharField("county", max_length=60, blank=True)
    note = models.CharField("hours, address", max_length=160, blank=True)
    archived_on = models.DateField(null=True, blank=True, editable=False)
    archived_by = models.ForeignKey(
        "installs.User", models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )

    class Meta:
        ordering = ["kind", "name", "pk"]
        constraints = [
            models.CheckConstraint(condition=models.Q(kind__in=ContactKind.values), name="contact_kind_known")
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.get_kind_display()}"

    @property
    def dialed(self) -> str:
        return as_dialed(self.phone)
