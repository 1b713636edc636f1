"""The application to the utility: what is applied for, what became of it, and the utility's own periods."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any, get_args

from django.core.exceptions import ValidationError
from django.db import models

from installs.measures import Quantity, plain_words
from sitecalc.utility.clock import Periods
from sitecalc.utility.figures import Across, Circuit, Secondary
from sitecalc.utility.progress import Happened, State
from sitecalc.wording import day_words

UNKNOWN: dict[str, Any] = {"null": True, "blank": True}
MOST_DAYS_OFF = 60


def short(most: int, name: str, **more: Any) -> models.CharField[str, str]:
    return models.CharField(name, max_length=most, blank=True, validators=[plain_words], **more)


def chosen(name: str, choices: Any, **more: Any) -> models.CharField[str, str]:
    every = [(choice, choice) for choice in get_args(choices)]
    return models.CharField(name, max_length=30, choices=every, default="not known", **more)


def extra_days(text: str) -> dict[date, str]:
    """ "2026-11-27 Day after Thanksgiving" a line. ValidationError names the line that is none."""
    found = {}
    for n, line in enumerate((text or "").splitlines(), start=1):
        if not line.strip():
            continue
        day, _, name = line.strip().partition(" ")
        try:
            found[date.fromisoformat(day)] = name.strip() or "closed"
        except ValueError:
            raise ValidationError(f"Line {n}: a day as 2026-11-27, then what it is.") from None
    if len(found) > MOST_DAYS_OFF:
        raise ValidationError(f"At most {MOST_DAYS_OFF} days.")
    return found


class UtilityProfile(models.Model):
    """How one utility counts: its periods in business days, its holidays, the limits of its screens."""

    name = models.CharField("utility, as jobs name it", max_length=120, unique=True, validators=[plain_words])
    acknowledge_days = models.PositiveSmallIntegerField("business days to acknowledge", default=3, **UNKNOWN)
    complete_days = models.PositiveSmallIntegerField(
        "business days to say whether it is complete", default=10, **UNKNOWN
    )
    screen_days = models.PositiveSmallIntegerField(
        "business days to screen, from complete", default=15, **UNKNOWN
    )
    witness_days = models.PositiveSmallIntegerField(
        "business days to witness the test, from asked", default=10, **UNKNOWN
    )
    days_off = models.TextField(
        "days off beside the federal holidays", max_length=3000, blank=True, validators=[plain_words],
        help_text="One a line: 2026-11-27 Day after Thanksgiving.",
    )  # fmt: skip
    source = short(
        160, "where periods and limits are from",
        help_text="Tariff or state rule with its section. Empty: the federal 10 kW inverter process (SGIP).",
    )  # fmt: skip
    most_kw = Quantity("most for this process", unit="kW", low=1, high=20_000, default=10, **UNKNOWN)
    section_pct = Quantity("of the line section’s peak", unit="%", low=0.1, high=100, default=15, **UNKNOWN)
    network_pct = Quantity("of a spot network’s load", unit="%", low=0.1, high=100, default=5, **UNKNOWN)
    network_most_kw = Quantity("most on a spot network", unit="kW", low=1, high=10_000, default=50, **UNKNOWN)
    fault_pct = Quantity("of the fault current", unit="%", low=0.1, high=100, default=10, **UNKNOWN)
    interrupting_pct = Quantity(
        "of the interrupting rating", unit="%", low=1, high=100, default=87.5, **UNKNOWN
    )
    shared_most_kw = Quantity(
        "most on a shared secondary", unit="kW", low=1, high=1000, default=20, **UNKNOWN
    )
    imbalance_pct = Quantity(
        "imbalance, of the transformer’s kVA", unit="%", low=0.1, high=100, default=20, **UNKNOWN
    )

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    @property
    def periods(self) -> Periods:
        return Periods(
            acknowledge=self.acknowledge_days,
            complete=self.complete_days,
            screen=self.screen_days,
            witness=self.witness_days,
        )

    @property
    def own_days(self) -> Mapping[date, str]:
        return extra_days(self.days_off)


class Signer(models.TextChoices):
    HOLDER = "holder", "account holder"
    AGENT = "agent", "agent by letter"


class Listing(models.TextChoices):
    UL_1741 = "UL 1741", "UL 1741"
    UL_1741_SA = "UL 1741 SA", "UL 1741 SA"
    UL_1741_SB = "UL 1741 SB", "UL 1741 SB"


class Category(models.TextChoices):
    I = "I", "I"  # noqa: E741  (as IEEE 1547 counts them)
    II = "II", "II"
    III = "III", "III"


class UtilityApplication(models.Model):
    """What is applied for and what no part of the job says; and the utility's figures of the line."""

    job = models.OneToOneField(
        "installs.Job", models.PROTECT, related_name="utility_application", editable=False
    )
    billed_name = short(120, "name as billed")
    account = short(60, "account number")
    meter_number = short(60, "meter number")
    service_address = short(160, "service address", help_text="Only where it is not the site's address.")
    signer = models.CharField("signed by", max_length=10, choices=Signer.choices, blank=True)
    signer_name = short(120, "signer’s name")
    agent_letter = models.ForeignKey(
        "installs.StoredFile", models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )
    firmware = short(60, "inverter’s firmware")
    ac_kw = Quantity("AC rating applied for", unit="kW", low=0.2, high=1000, **UNKNOWN)
    listing = models.CharField("inverter listed to", max_length=12, choices=Listing.choices, blank=True)
    certificate = short(120, "certificate of the listing", help_text="Who certified it, and its number.")
    category = models.CharField(
        "abnormal operating category", max_length=3, choices=Category.choices, blank=True,
        help_text="Of IEEE 1547-2018; the utility says which.",
    )  # fmt: skip
    export_kw = Quantity("largest export", unit="kW", low=0, high=1000, **UNKNOWN)
    load_kw = Quantity("customer’s load", unit="kW", low=0, high=100_000, **UNKNOWN)
    disconnect_place = short(160, "where the utility’s disconnect is")
    in_service_on = models.DateField("planned in service", null=True, blank=True)
    insurance = short(160, "owner’s liability insurance", help_text="Empty: the firm's.")

    peak_kw = Quantity("line section’s annual peak", unit="kW", low=1, high=1_000_000, **UNKNOWN)
    before_kw = Quantity("generation before it on the section", unit="kW", low=0, high=100_000, **UNKNOWN)
    circuit = chosen("circuit", Circuit)
    network_kw = Quantity("spot network’s greatest load", unit="kW", low=1, high=1_000_000, **UNKNOWN)
    network_before_kw = Quantity(
        "inverters before it on the network", unit="kW", low=0, high=100_000, **UNKNOWN
    )
    primary_v = Quantity("primary line", unit="V", low=600, high=69_000, **UNKNOWN)
    line_fault_a = Quantity("circuit’s greatest fault current", unit="A", low=1, high=200_000, **UNKNOWN)
    fault_before_a = Quantity(
        "fault current of generation before it", unit="A", low=0, high=100_000, **UNKNOWN
    )
    device_a = Quantity("least interrupting rating", unit="A", low=100, high=300_000, **UNKNOWN)
    device_fault_a = Quantity("fault current at that device", unit="A", low=0, high=300_000, **UNKNOWN)
    secondary = chosen("secondary", Secondary)
    shared_before_kw = Quantity(
        "generation before it on the secondary", unit="kW", low=0, high=10_000, **UNKNOWN
    )
    across = chosen("inverter connected", Across)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(signer__in=["", *Signer.values]), name="application_signer_known"
            ),
            models.CheckConstraint(
                condition=models.Q(listing__in=["", *Listing.values]), name="application_listing_known"
            ),
            models.CheckConstraint(
                condition=models.Q(category__in=["", *Category.values]), name="application_category_known"
            ),
        ]

    def __str__(self) -> str:
        return f"application to the utility of {self.job}"


STATES = [(state.value, state.value) for state in State]


class ApplicationLine(models.Model):
    """One state of the application on its day. Only added; a wrong one is struck with a reason."""

    job = models.ForeignKey("installs.Job", models.PROTECT, related_name="application_lines")
    state = models.CharField("state", max_length=20, choices=STATES)
    on = models.DateField("day")
    by_whom = models.CharField("by whom", max_length=120, validators=[plain_words])
    number = short(60, "their number")
    words = models.CharField(
        "what is missing, the conditions, or a note", max_length=1000, blank=True, validators=[plain_words]
    )
    file = models.ForeignKey("installs.StoredFile", models.PROTECT, null=True, blank=True, related_name="+")
    # what was sent with it: {key: [label, words]}, and its hash; of a sending only
    told = models.JSONField(default=dict)
    told_sha256 = models.CharField(max_length=64, blank=True)
    # the line of the permits that the gates read, and what that said before
    permit = models.ForeignKey("installs.Permit", models.PROTECT, null=True, related_name="+")
    permit_before = models.JSONField(null=True)
    recorded_by = models.ForeignKey("installs.User", models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField()
    struck_at = models.DateTimeField(null=True)
    struck_by = models.ForeignKey("installs.User", models.PROTECT, null=True, related_name="+")
    struck_because = models.CharField("why it is struck", max_length=300, blank=True)

    class Meta:
        ordering = ["job", "on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(state__in=[s.value for s in State]), name="application_state_known"
            ),
            models.CheckConstraint(
                condition=models.Q(struck_at=None) | ~models.Q(struck_because=""),
                name="application_struck_with_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_state_display()}, {self.on:%Y-%m-%d}"

    def shown(self) -> list[tuple[str, str, str]]:
        """(key, label, words) of what is read by who strikes it."""
        return [
            ("state", "State", f"{self.state}, {day_words(self.on, year=True)}"),
            ("by_whom", "By", self.by_whom),
            ("number", "Number", self.number),
            ("words", "Said", self.words),
            ("struck", "Struck", self.struck_because or "no"),
        ]

    @property
    def happened(self) -> Happened:
        return Happened(State(self.state), self.on)
