"""The permits in the job book: what was asked, when, and what came of it."""

from __future__ import annotations

from datetime import date

import pytest

from installs.permits.book import strip
from installs.permits.models import Permit, PermitKind
from tests.make import AT

pytestmark = pytest.mark.django_db


def asked(job, kind, **dates) -> None:
    Permit.objects.create(job=job, kind=kind, asked_of="Juniper County", **dates)


def test_nothing_is_drawn_before_something_is_asked(job) -> None:
    asked(job, PermitKind.BUILDING)
    assert strip(job, "permits", AT) == ""


def test_each_answer_stands_at_its_day(job) -> None:
    asked(job, PermitKind.BUILDING, asked_on=date(2031, 3, 3), granted_on=date(2031, 4, 9))
    asked(job, PermitKind.AIRSPACE, asked_on=date(2031, 3, 10), promised_on=date(2031, 4, 24))
    asked(job, PermitKind.ZONING, asked_on=date(2031, 3, 12), refused_on=date(2031, 4, 2))
    asked(job, PermitKind.LOCATE, asked_on=date(2031, 5, 1))
    drawn = strip(job, "permits", AT)
    for words in ("in hand Apr 9", "promised Apr 24", "refused Apr 2", "no day promised", "April", "May"):
        assert words in drawn


def test_what_is_no_longer_needed_is_left_out(job) -> None:
    asked(job, PermitKind.ZONING, asked_on=date(2031, 3, 12), withdrawn_on=date(2031, 3, 20))
    assert strip(job, "permits", AT) == ""


def test_one_paper_asked_and_granted_on_one_day_is_drawn(job) -> None:
    asked(job, PermitKind.LOCATE, asked_on=date(2031, 5, 1), granted_on=date(2031, 5, 1))
    assert "locate ticket" in strip(job, "permits", AT)
