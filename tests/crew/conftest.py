from __future__ import annotations

import pytest
from django.utils import timezone

from installs.checklists.services import copy_lists
from installs.jobs.models import Job
from installs.people.models import User
from tests.make import make_job


@pytest.fixture
def job(ben: User) -> Job:
    """Ben's, with its checklists."""
    job = make_job(members=(ben,))
    copy_lists(job, by=ben, at=timezone.now())
    return job
