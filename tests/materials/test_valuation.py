"""What the work is valued at, as a building department asks it: with who says it, and never a zero."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from installs.jobs.models import Event
from installs.materials.forms import ValuationForm
from installs.materials.models import Valuation
from installs.materials.pricing import Cost
from installs.materials.services import record_valuation
from installs.materials.standing import valuation_of
from tests.make import AT, alma, make_job, make_person, press

pytestmark = pytest.mark.django_db

TODAY = date(2031, 5, 20)
WHOLE = Cost(usd=41_310.4, unpriced=0, of=38, old=0)
PART = Cost(usd=12_000.0, unpriced=4, of=38, old=0)
NONE = Cost(usd=0.0, unpriced=0, of=0, old=0)
SAID = {"said_by": "A. Reyes", "said_on": "2031-05-19"}


def form(cost: Cost, **typed: str) -> ValuationForm:
    return ValuationForm({**SAID, **typed}, cost=cost, today=TODAY)


def faults(cost: Cost, **typed: str) -> dict[str, list[str]]:
    return dict(form(cost, **typed).errors)


def said(job, cents: int, by: str = "A. Reyes") -> Valuation:
    row = Valuation(amount_cents=cents, covers="contract", said_by=by, said_on=date(2031, 5, 4))
    return record_valuation(job, row, by=alma(), at=AT)


def test_a_sum_of_the_price_basis_counts_only_where_every_line_has_a_price() -> None:
    whole = form(WHOLE, covers="price basis")
    assert whole.is_valid() and whole.save(commit=False).amount_cents == 4_131_040
    assert "4 of 38 lines have no price" in faults(PART, covers="price basis")["usd"][0]
    assert "nothing is released" in faults(NONE, covers="price basis")["usd"][0]
    assert "$41,310" in faults(WHOLE, covers="price basis", usd="50,000")["usd"][0]


def test_an_amount_that_nobody_knows_is_left_out_and_not_entered_as_zero() -> None:
    assert set(faults(PART, covers="contract")) == {"usd"}
    assert set(faults(PART, covers="contract", usd="0")) == {"usd"}
    assert set(faults(PART, covers="contract", usd="nan")) == {"usd"}
    assert set(faults(PART, covers="contract", usd="90,000", said_by=" ")) == {"said_by"}
    assert set(faults(PART, covers="contract", usd="90,000", said_on="2031-05-21")) == {"said_on"}
    typed = form(PART, covers="contract", usd="118,400.50")
    assert typed.is_valid() and typed.save(commit=False).amount_cents == 11_840_050
    job = make_job()
    with pytest.raises(IntegrityError), transaction.atomic():
        said(job, 0)


def test_the_newest_counts_and_the_one_before_it_stays_on_record() -> None:
    job = make_job()
    assert valuation_of(job) is None
    said(job, 9_000_000)
    said(job, 11_840_000, by="B. Osgood")
    assert [row.amount_cents for row in job.valuations.order_by("pk")] == [9_000_000, 11_840_000]
    newest = valuation_of(job)
    assert newest is not None and newest.said_by == "B. Osgood"
    lines = Event.objects.filter(job=job, verb="valuation recorded").order_by("pk")
    assert "$118,400" in lines[1].what and "B. Osgood" in lines[1].what


def test_the_office_records_it_and_a_fault_keeps_what_was_typed(client) -> None:
    job = make_job()
    page = reverse("valuation-add", args=[job.number])
    client.force_login(make_person("Ben Osgood", "foreman"))
    assert client.get(page).status_code in (403, 404)
    client.force_login(alma())
    today = job.local(timezone.now()).date()
    typed = {"covers": "estimate", "usd": "", "said_by": "Dale Moe", "said_on": today.isoformat()}
    answer = press(client, page, typed)
    assert answer.status_code == 422 and "Dale Moe" in answer.content.decode()
    late = {**typed, "usd": "90,000", "said_on": (today + timedelta(days=1)).isoformat()}
    assert press(client, page, late).status_code == 422
    assert press(client, page, {**typed, "usd": "90,000"}).status_code == 302
    words = "$90,000, contractor’s estimate, labor and materials"
    assert [str(row) for row in job.valuations.all()] == [words]
    assert words in client.get(page).content.decode()
