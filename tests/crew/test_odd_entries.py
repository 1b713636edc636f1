"""One odd entry never loses another, and never closes a page to anybody."""

from __future__ import annotations

import pytest

from installs.checklists.services import chain_faults, copy_lists
from installs.jobs.models import Job
from installs.jobs.services import add_member
from installs.people.models import User
from tests.crew.odd_entries import hold

SEEDS = [pytest.param(11, 500), *(pytest.param(s, 1500, marks=pytest.mark.prove) for s in (12, 13, 14))]


@pytest.mark.parametrize(("seed", "count"), SEEDS)
def test_after_any_entries_every_page_of_the_job_opens(
    transactional_db, prepared_demo, settings, seed, count
):
    """On the demo's job that is in its pour and cure, where most is worked out of what the field says."""
    settings.STORAGES = prepared_demo.storages
    prepared_demo.put()
    office = User.objects.filter(role="office", is_active=True).first()
    ben = User.objects.filter(role="foreman", is_active=True).first()
    job = Job.objects.active().filter(phases__key="pour", revisions__part="tower").order_by("pk").last()
    add_member(job, ben, by=office, at=job.created_at)
    copy_lists(job, by=office, at=job.created_at)
    hold(job, ben, office, count=count, seed=seed)
    assert chain_faults(job) == []
