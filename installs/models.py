"""Hands on every room's models, so that Django sees one app; no room imports this file."""

from installs.checklists.models import Device, Entry, Item, JobList
from installs.equipment.models import Crane, EquipmentRecord, LoadChart, Sling, Wrench
from installs.files.models import Sending, StoredFile
from installs.foundation.models import FoundationDesign
from installs.ground_station.models import GroundStationDesign
from installs.inspection.models import Correction, Inspection, MeterReading
from installs.jobs.models import (
    Acceptance,
    Confirmation,
    DesignRevision,
    Deviation,
    DeviationAnswer,
    DraftAcceptance,
    Event,
    Job,
    JobNumber,
    Member,
    PhaseState,
)
from installs.lift.models import LiftDesign, LiftSignature
from installs.papers.models import Paper, SealedSheets
from installs.people.models import (
    Certificate,
    Firm,
    FirmEvent,
    RecoveryCode,
    SecondFactor,
    SignedIn,
    SignInAttempt,
    SignInLink,
    User,
)
from installs.permits.models import Permit
from installs.pour.models import EarlyRelease, PourDesign, StrengthNotice
from installs.record.models import FirmLogCheck, RecordCheck
from installs.sent.models import SentForm
from installs.site.models import SiteDesign
from installs.tower.models import TowerDesign
from installs.turbine.models import TurbineDesign, TurbineModel
from installs.work.models import Pulse, WorkRequest

__all__ = [
    "Acceptance",
    "Certificate",
    "Confirmation",
    "Correction",
    "Crane",
    "DesignRevision",
    "Deviation",
    "DeviationAnswer",
    "Device",
    "DraftAcceptance",
    "EarlyRelease",
    "Entry",
    "EquipmentRecord",
    "Event",
    "Firm",
    "FirmEvent",
    "FirmLogCheck",
    "FoundationDesign",
    "GroundStationDesign",
    "Inspection",
    "Item",
    "Job",
    "JobList",
    "JobNumber",
    "LiftDesign",
    "LiftSignature",
    "LoadChart",
    "Member",
    "MeterReading",
    "Paper",
    "Permit",
    "PhaseState",
    "PourDesign",
    "Pulse",
    "RecordCheck",
    "RecoveryCode",
    "SealedSheets",
    "SecondFactor",
    "Sending",
    "SentForm",
    "SignInAttempt",
    "SignInLink",
    "SignedIn",
    "SiteDesign",
    "Sling",
    "StoredFile",
    "StrengthNotice",
    "TowerDesign",
    "TurbineDesign",
    "TurbineModel",
    "User",
    "WorkRequest",
    "Wrench",
]
