"""What suppliers quoted, the firm's price basis; and what the work of a job is valued at."""

from __future__ import annotations

from django.db import models

from installs.measures import Quantity, plain_words, sane_day
from sitecalc.wording import day_words, dollar_words

DOLLARS = "$"


class Price(models.Model):
    """One price of one good, as quoted on a day. A row is only ever added; the newest quote counts.

    ``usd`` is for one ``unit``; none says that no price is known from that day on.
    """

    good = models.CharField(max_length=160, editable=False)
    unit = models.CharField(max_length=12, editable=False)
    usd = Quantity("price", unit=DOLLARS, low=0, high=1_000_000, null=True, blank=True)
    quoted_on = models.DateField("quoted on", validators=[sane_day])
    source = models.CharField("quote or invoice", max_length=120)
    recorded_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+", editable=False)
    recorded_at = models.DateTimeField(editable=False)

    class Meta:
        ordering = ["good", "unit", "-quoted_on", "-pk"]
        indexes = [models.Index(fields=["good", "unit"], name="price_good")]

    def __str__(self) -> str:
        return f"{self.good}, a {self.unit}"


class Covers(models.TextChoices):
    """What a valuation is of, and by what it is known."""

    CONTRACT = "contract", "contract price, labor and materials"
    ESTIMATE = "estimate", "contractor’s estimate, labor and materials"
    PRICE_BASIS = "price basis", "materials by the firm’s price basis, without labor, crane and tax"


class Valuation(models.Model):
    """What the work of a job is valued at, as a building department asks it: an amount, and who says so.

    A row is only ever added; the newest counts. No row: not given, which is never a zero.
    """

    job = models.ForeignKey("installs.Job", models.PROTECT, related_name="valuations", editable=False)
    amount_cents = models.PositiveBigIntegerField("amount", editable=False)
    covers = models.CharField("what it covers", max_length=12, choices=Covers.choices)
    said_by = models.CharField("who says it", max_length=80, validators=[plain_words])
    said_on = models.DateField("said on", validators=[sane_day])
    recorded_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+", editable=False)
    recorded_at = models.DateTimeField(editable=False)

    class Meta:
        ordering = ["job", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(amount_cents__gt=0), name="valuation_more_than_nothing"
            ),
            models.CheckConstraint(
                condition=models.Q(covers__in=Covers.values), name="valuation_covers_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{dollar_words(self.amount_cents / 100)}, {self.get_covers_display()}"

    @property
    def in_words(self) -> str:
        """ "$84,500.00, contract price, labor and materials, said by A. Reyes on Dec 1, 2026" """
        return f"{self}; said by {self.said_by} on {day_words(self.said_on, year=True)}"
