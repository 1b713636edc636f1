"""The demo stands as it says: what was released and not changed since is its draft."""

from __future__ import annotations

import pytest

from installs.jobs.models import Job
from installs.jobs.parts import TABLE
from installs.jobs.sealing import digest


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("part", ["tower lift", "turbine lift", "foundation", "tower", "site"])
def test_a_lift_that_is_ready_has_no_draft_beside_its_plan(prepared_demo, part: str) -> None:
    prepared_demo.put()
    job = Job.objects.get(owner="Harrow School District")
    released = job.revisions.newest(part)
    assert digest(TABLE[part].draft_of(job).inputs()) == digest(released.inputs)
