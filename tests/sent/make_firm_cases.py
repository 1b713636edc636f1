"""The forms of people, firm, equipment and turbines."""

from __future__ import annotations

from datetime import date

from django.urls import reverse
from django.utils import timezone

from installs.checklists.models import Device
from installs.emergency.models import EmergencyPlan
from installs.equipment.models import Crane, EquipmentRecord, LoadChart, Sling, Wrench
from installs.firm.models import Contact
from installs.jobs.material_lines import Good
from installs.jobs.models import Job
from installs.materials.forms import field_name
from installs.materials.models import Price
from installs.materials.pricing import counting_prices
from installs.people.models import Certificate, Firm, User
from installs.turbine.models import TurbineModel
from installs.utility.models import UtilityProfile
from tests.equipment.test_equipment import CHART, CRANE
from tests.house.test_bad_input import counts, demo, in_the_database  # noqa: F401  (fixtures)
from tests.sent.make_case import Case, alma, changed, of, stands
from tests.turbine.test_pages import figures as turbine_figures

# --- people and the firm ----------------------------------------------------------------------------


@of("firm")
def _(job: Job) -> Case:
    row = Firm.objects.get()
    return Case(
        reverse("firm"),
        {"town": "Osier, ND"},
        meanwhile=changed(row, phone="555-0177"),
        both=stands(row, town="Osier, ND", phone="555-0177"),
    )


@of("person-add")
def _(job: Job) -> Case:
    typed = {"full_name": "Ines Moor", "initials": "IM", "username": "ines", "role": "crew", "save": ""}
    return Case(reverse("person-add"), typed)


@of("person")
def _(job: Job) -> Case:
    row = User.objects.get(username="gus")
    return Case(
        reverse("person", args=[row.pk]),
        {"phone": "555-0123", "save": ""},
        meanwhile=changed(row, full_name="Gus Lund-Hale"),
        both=stands(row, phone="555-0123", full_name="Gus Lund-Hale"),
    )


@of("person: card")
def _(job: Job) -> Case:
    page = reverse("person", args=[User.objects.get(username="gus").pk])
    return Case(page, {"kind": "rigger", "number": "R-1", "add-card": ""})


@of("person-archive")
def _(job: Job) -> Case:
    row = User.objects.get(username="gus")
    page = reverse("person", args=[row.pk])
    return Case(page, action=f"{page}archive/", meanwhile=changed(row, role="foreman"))


@of("card-archive")
def _(job: Job) -> Case:
    row = Certificate.objects.filter(archived_on=None).first()
    return Case(
        reverse("person", args=[row.person_id]),
        action=reverse("card-archive", args=[row.pk]),
        meanwhile=changed(row, number="X-1"),
    )


@of("phone-end")
def _(job: Job) -> Case:
    row = Device.objects.filter(ended_at=None).first()
    ended = {"ended_at": timezone.now(), "ended_by": alma(), "ended_why": "Fell off the tower."}
    return Case(
        reverse("phone-end", args=[row.pk]),
        {"why": "Lost at the quarry."},
        meanwhile=changed(row, **ended),
        over=True,
    )


# --- equipment --------------------------------------------------------------------------------------

ADDED = {
    "crane": {**CRANE, "unit_number": "T-99", "save": "save"},
    "wrench": {"serial": "W-99", "name": "click", "low_ft_lb": "50", "high_ft_lb": "250", "save": "save"},
    "sling": {"tag": "S-99", "kind": "shackle", "rating_lb": "9500", "save": "save"},
}
OTHERS = {
    "crane": (Crane, {"owner_firm": "Hale Rigging"}, {"weight_lb": 90_000.0}),
    "wrench": (Wrench, {"name": "the red one"}, {"high_ft_lb": 260.0}),
    "sling": (Sling, {"length_ft": "11"}, {"weight_lb": 17.5}),
}


def _equipment(kind: str) -> None:
    model, typed, other = OTHERS[kind]

    @of(f"{kind}-add")
    def _(job: Job) -> Case:
        return Case(reverse(f"{kind}-add"), ADDED[kind])

    @of(kind)
    def _(job: Job) -> Case:
        row = model.objects.filter(archived_on=None).first()
        page = reverse(kind, args=[row.pk])
        both = stands(row, **typed, **other)
        return Case(page, {**typed, "save": "save"}, meanwhile=changed(row, **other), both=both)

    @of(f"{kind}-archive")
    def _(job: Job) -> Case:
        row = model.objects.filter(archived_on=None).first()
        page = reverse(kind, args=[row.pk])
        return Case(page, action=f"{page}archive/", meanwhile=changed(row, **other))


for each in OTHERS:
    _equipment(each)


@of("crane: record")
def _(job: Job) -> Case:
    page = reverse("crane", args=[Crane.objects.first().pk])
    return Case(page, {"record-done_on": "2026-02-03", "record-reference": "R-9", "add-record": "add"})


@of("crane: chart")
def _(job: Job) -> Case:
    page = reverse("crane", args=[Crane.objects.first().pk])
    return Case(page, {**CHART, "chart-pasted": "radius_ft,130,145\n35,18000,16000\n40,17000,15200\n"})


@of("equipment-record-archive")
def _(job: Job) -> Case:
    row = EquipmentRecord.objects.filter(archived_on=None).exclude(crane=None).first()
    return Case(
        reverse("crane", args=[row.crane_id]),
        action=reverse("equipment-record-archive", args=[row.pk]),
        meanwhile=changed(row, archived_on=date(2026, 1, 2)),
    )


@of("load-chart-archive")
def _(job: Job) -> Case:
    row = LoadChart.objects.filter(archived_on=None).first()
    return Case(
        reverse("crane", args=[row.crane_id]),
        action=reverse("load-chart-archive", args=[row.pk]),
        meanwhile=changed(row, page="C-12"),
    )


@of("turbine-model-add")
def _(job: Job) -> Case:
    return Case(reverse("turbine-model-add"), turbine_figures())


@of("turbine-model")
def _(job: Job) -> Case:
    row = TurbineModel.objects.filter(archived_on=None).first()
    return Case(
        reverse("turbine-model", args=[row.pk]),
        {"name": f"{row.name} II"},
        meanwhile=changed(row, tail_ft=1.5),
        both=stands(row, name=f"{row.name} II", tail_ft=1.5),
    )


@of("turbine-model-archive")
def _(job: Job) -> Case:
    row = TurbineModel.objects.filter(archived_on=None).first()
    page = reverse("turbine-model", args=[row.pk])
    return Case(page, action=f"{page}archive/", meanwhile=changed(row, rated_kw=9.5))


@of("turbine-model-take-back")
def _(job: Job) -> Case:
    row = TurbineModel.objects.first()
    changed(row, archived_on=date(2026, 1, 2))()
    page = reverse("turbine-model", args=[row.pk])
    return Case(page, action=f"{page}take-back/", meanwhile=changed(row, archived_on=date(2026, 2, 3)))


# --- contacts ---------------------------------------------------------------------------------------

PLANT = {"kind": "plant", "name": "Alder Ready Mix", "phone": "555-0160", "save": ""}


def _quoted(job: Job | None) -> Case:
    page = reverse("job-prices", args=[job.number]) if job else reverse("prices")
    return Case(
        page, {"source": "Osier Supply 12", "quoted_on": "2026-03-04", price_field(): "7.25", "save": ""}
    )


def price_field() -> str:
    """The field of a good that the demo has priced."""
    row = Price.objects.filter(good__startswith="Bar ").first()
    return field_name(Good(row.good, row.unit))


@of("prices")
def _(job: Job) -> Case:
    return _quoted(None)


@of("job-prices")
def _(job: Job) -> Case:
    return _quoted(job)


@of("price-withdraw")
def _(job: Job) -> Case:
    row = counting_prices()[min(counting_prices())]
    newer = {"good": row.good, "unit": row.unit, "usd": 9.0, "quoted_on": date.today(), "source": "Q-9"}
    return Case(
        reverse("prices"),
        action=reverse("price-withdraw", args=[row.pk]),
        meanwhile=lambda: Price.objects.create(**newer, recorded_by=alma(), recorded_at=timezone.now()),
        both=lambda: counting_prices()[Good(row.good, row.unit)].usd is None,
    )


@of("contact-add")
def _(job: Job) -> Case:
    return Case(reverse("contact-add"), PLANT)


@of("job-contact-add")
def _(job: Job) -> Case:
    typed = {"kind": "owner", "name": "Orrin", "phone": "555-0161", "save": ""}
    return Case(reverse("job-contact-add", args=[job.number]), typed)


@of("utility-profile-add")
def _(job: Job) -> Case:
    return Case(reverse("utility-profile-add"), {"name": "Alder Light and Power", "save": ""})


@of("utility-profile")
def _(job: Job) -> Case:
    row = UtilityProfile.objects.create(name="Alder Light and Power")
    return Case(
        reverse("utility-profile", args=[row.pk]),
        {"source": "Tariff 9", "save": ""},
        meanwhile=changed(row, complete_days=7),
        both=stands(row, source="Tariff 9", complete_days=7),
    )


@of("emergency-edit")
def _(job: Job) -> Case:
    row, _made = EmergencyPlan.objects.get_or_create(job=job, defaults={"hospital": "Alder County Hospital"})
    return Case(
        reverse("emergency-edit", args=[job.number]),
        {"muster": "Shed, east door", "save": ""},
        meanwhile=changed(row, drive_min=25),
        both=stands(row, muster="Shed, east door", drive_min=25),
    )


def _contact(job: Job | None) -> tuple[Contact, str]:
    row = Contact.objects.create(job=job, kind="plant", name="Alder Ready Mix", phone="555-0160")
    page = reverse("job-contact", args=[job.number, row.pk]) if job else reverse("contact", args=[row.pk])
    return row, page


def _contact_cases(name: str, of_job: bool) -> None:
    @of(name)
    def _(job: Job) -> Case:
        row, page = _contact(job if of_job else None)
        return Case(
            page,
            {"phone": "555-0199", "save": ""},
            meanwhile=changed(row, person="Ida"),
            both=stands(row, phone="555-0199", person="Ida"),
        )

    @of(f"{name}-archive")
    def _(job: Job) -> Case:
        row, page = _contact(job if of_job else None)
        return Case(page, action=f"{page}archive/", meanwhile=changed(row, person="Ida"))


_contact_cases("contact", of_job=False)
_contact_cases("job-contact", of_job=True)
