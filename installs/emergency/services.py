"""The emergency plan stands in the job's log: what it was, and what it is."""

from __future__ import annotations

from datetime import datetime

from installs.emergency.models import EmergencyPlan
from installs.jobs.models import Job
from installs.jobs.own_row import save_own
from installs.people.models import User
from installs.typed import RowForm


def save_plan(form: RowForm[EmergencyPlan], job: Job, *, by: User, at: datetime) -> EmergencyPlan:
    return save_own(form, job, "emergency card", called="Emergency card", noun="card", by=by, at=at)
