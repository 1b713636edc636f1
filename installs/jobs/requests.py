"""What a view whose URL carries a job number is given: see installs/people/requests.py."""

from __future__ import annotations

from installs.jobs.models import Job
from installs.people.requests import PersonRequest


class JobRequest(PersonRequest):
    """Of a signed-in person who may see the job of the URL's ``number``."""

    job: Job
