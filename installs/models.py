"""Hands on every room's models, so that Django sees one app; no room imports this file."""

from installs.checklists.models import Device, Entry, Item, JobList
from installs.files.models import StoredFile
from installs.inspection.models import Inspection, MeterReading
from installs.jobs.models import (
    Acceptance,
    DesignRevision,
    Deviation,
    DeviationAnswer,
    DraftAcceptance,
    Event,
    Job,
    Member,
    PhaseState,
)
from installs.people.models import Certificate, Firm, SignInAttempt, User
from installs.permits.models import Permit
from installs.work.models import WorkRequest

__all__ = [
    "Acceptance",
    "Certificate",
    "DesignRevision",
    "Deviation",
    "DeviationAnswer",
    "Device",
    "DraftAcceptance",
    "Entry",
    "Event",
    "Firm",
    "Inspection",
    "Item",
    "Job",
    "JobList",
    "Member",
    "MeterReading",
    "Permit",
    "PhaseState",
    "SignInAttempt",
    "StoredFile",
    "User",
    "WorkRequest",
]
