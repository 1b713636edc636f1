"""Hands on every room's models, so that Django sees one app; no room imports this file."""

from installs.checklists.models import Device, Entry, Item, JobList
from installs.emergency.models import EmergencyPlan
from installs.equipment.models import Crane, EquipmentRecord, LoadChart, Sling, Wrench
from installs.files.models import Sending, StoredFile
from installs.firm.models import Contact
from installs.foundation.models import FoundationDesign
from installs.ground_station.models import GroundStationDesign
from installs.inspection.models import Correction, Inspection, MeterReading
from installs.jobs.catalogue import CatalogueRow
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
from installs.kits.models import Kit, KitTaking, SiteQuestion
from installs.lift.models import LiftDesign, LiftSignature, SignedSheet
from installs.materials.models import Price, Valuation
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
from installs.utility.models import ApplicationLine, UtilityApplication, UtilityProfile
from installs.work.models import Pulse, WorkRequest

__all__ = [
    "Acceptance",
    "ApplicationLine",
    "CatalogueRow",
    "Certificate",
    "Confirmation",
    "Contact",
    "Correction",
    "Crane",
    "DesignRevision",
    "Deviation",
    "DeviationAnswer",
    "Device",
    "DraftAcceptance",
    "EarlyRelease",
    "EmergencyPlan",
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
    "Kit",
    "KitTaking",
    "LiftDesign",
    "LiftSignature",
    "LoadChart",
    "Member",
    "MeterReading",
    "Paper",
    "Permit",
    "PhaseState",
    "PourDesign",
    "Price",
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
    "SignedSheet",
    "SiteDesign",
    "SiteQuestion",
    "Sling",
    "StoredFile",
    "StrengthNotice",
    "TowerDesign",
    "TurbineDesign",
    "TurbineModel",
    "User",
    "UtilityApplication",
    "UtilityProfile",
    "Valuation",
    "WorkRequest",
    "Wrench",
]
