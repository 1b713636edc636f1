"""The demo's utility, invented: its profile, and the applications of two jobs, one granted, one under way."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from installs.firm.forms import ContactForm
from installs.firm.models import Contact
from installs.firm.services import save_contact
from installs.jobs.models import Job
from installs.people.firm_rows import save_row
from installs.people.models import User
from installs.utility.forms import ApplicationForm, ProfileForm
from installs.utility.models import ApplicationLine, UtilityApplication, UtilityProfile
from installs.utility.services import record_line, save_application

GRANTED: dict[str, Any] = {
    "billed_name": "Tilley Farm LLC", "account": "30-4471-0", "meter_number": "M 88120", "signer": "holder",
    "signer_name": "Gus Tilley", "firmware": "2.14", "ac_kw": 15, "listing": "UL 1741 SB",
    "certificate": "Prairie Test Laboratory (invented), PT-2210", "category": "III", "export_kw": 15,
    "insurance": "Prairie Mutual (invented), policy F-2210, to Dec 31, 2031",
    "load_kw": 22, "disconnect_place": "Post beside the meter pole, north face, 5 ft up", "peak_kw": 1200,
    "before_kw": 42, "circuit": "radial", "primary_v": 7200, "line_fault_a": 1000, "fault_before_a": 4,
    "device_a": 10_000, "device_fault_a": 1000, "secondary": "own transformer", "across": "line to line",
}  # fmt: skip
UNDER_WAY: dict[str, Any] = {
    "billed_name": "Juniper Rural Water District", "account": "30-5102-7", "signer": "agent",
    "signer_name": "Alma Reyes", "firmware": "2.20", "ac_kw": 15, "listing": "UL 1741 SB", "export_kw": 15,
    "load_kw": 60, "peak_kw": 1200, "before_kw": 170, "circuit": "radial", "secondary": "not known",
    "across": "line to line",
}  # fmt: skip
OWNERS = {"Tilley Farm": "555-0131", "Juniper Rural Water": "555-0166"}


def make_utility(name: str, by: User, at: datetime) -> None:
    """Its periods are those of the federal process, its own day off the Friday after Thanksgiving."""
    days = "\n".join(
        f"{_friday_after(year)} Day after Thanksgiving" for year in range(at.year - 3, at.year + 2)
    )
    blank = UtilityProfile()
    told = {f: getattr(blank, f) for f in ProfileForm.Meta.fields}
    told |= {"name": name, "days_off": days, "most_kw": 20, "source": "Tariff sheet 14 (invented)"}
    form = ProfileForm(told)
    form.full_clean()
    save_row(form, "utility", by=by, at=at)
    desk = {"kind": "utility", "name": name, "person": "Interconnection desk", "phone": "555-0177"}
    contact = ContactForm(desk, of_job=False)
    contact.full_clean()
    save_contact(contact, None, by=by, at=at)


def _friday_after(year: int) -> date:
    first = date(year, 11, 1)
    return date(year, 11, 1 + (3 - first.weekday()) % 7 + 22)


def fill_in(job: Job, figures: dict[str, Any], by: User, at: datetime, **more: Any) -> None:
    owner = ContactForm(
        {"kind": "owner", "name": job.owner, "phone": OWNERS[job.owner]}, instance=Contact(), of_job=True
    )
    owner.full_clean()
    save_contact(owner, job, by=by, at=at)
    blank = UtilityApplication(job=job)
    told = {f: getattr(blank, f) for f in ApplicationForm.Meta.fields}
    form = ApplicationForm({**told, **figures, **more}, instance=blank)
    if not form.is_valid():
        raise ValueError(form.errors)
    save_application(form, job, by=by, at=at)


def state(job: Job, name: str, on: date, by_whom: str, by: User, at: datetime, **more: str) -> None:
    record_line(job, ApplicationLine(state=name, on=on, by_whom=by_whom, **more), by=by, at=at)
