"""What the application says: its own figures, and what other parts of the job say already.

A figure of a part is shown with that part's letter and is mended there; nothing is asked twice. What is
missing is a gap with the place where it is mended.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from installs.firm.facts import contacts_of
from installs.firm.models import Contact, ContactKind
from installs.ground_station.models import GroundStationDesign, released_design
from installs.jobs.models import DesignRevision, Job
from installs.jobs.standing import footings
from installs.people.models import Firm
from installs.turbine.machine import Machine, machine_of, released_machine
from installs.turbine.models import TurbineDesign
from installs.utility.models import Signer, UtilityApplication
from sitecalc.checks import Check, Verdict
from sitecalc.ground_station.figures import GroundStationFigures
from sitecalc.inputs import InputError
from sitecalc.utility.screens import applied_current, output_current
from sitecalc.wording import day_words, quantity_words

HERE, FIRM, JOB, CONTACTS = "utility-edit", "firm", "job-edit", "contacts"
STATION, TURBINE = "ground-station", "turbine"


@dataclass(frozen=True)
class Gap:
    """``page`` is the name of the address where it is mended, ``at`` the field there."""

    words: str
    page: str
    at: str = ""

    @property
    def of_job(self) -> bool:
        return self.page != FIRM


@dataclass(frozen=True)
class Item:
    """One line of the application. ``source``: whose figure it is, "" where the application says it."""

    key: str
    group: str
    label: str
    words: str
    source: str = ""
    gap: Gap | None = None


@dataclass(frozen=True)
class Parts:
    """What the job's parts say: from the release in force, else from the draft."""

    station: GroundStationFigures | None
    station_said: str
    machine: Machine | None
    machine_said: str
    firm: Firm | None
    contacts: tuple[Contact, ...] = ()

    @property
    def three_phase(self) -> bool:
        return self.station is not None and self.station.inverter_system == "3-phase"

    @property
    def direct(self) -> bool:
        """The machine stands on the grid itself: there is no inverter to apply for."""
        kind = (self.station.turbine_kind if self.station else "") or (
            self.machine.output if self.machine else ""
        )
        return kind.startswith("grid AC")

    @property
    def amps(self) -> float | None:
        return self.station.inverter_a if self.station else None


@dataclass(frozen=True)
class Applied:
    """The application as page and paper print it."""

    application: UtilityApplication
    parts: Parts
    items: tuple[Item, ...]
    check: Check
    gaps: tuple[Gap, ...] = field(default=())

    @property
    def face(self) -> str:
        """ "incomplete: 4", or "complete" """
        return f"incomplete: {len(self.gaps)}" if self.gaps else "complete"

    @property
    def groups(self) -> list[tuple[str, list[Item]]]:
        found: dict[str, list[Item]] = {}
        for item in self.items:
            found.setdefault(item.group, []).append(item)
        return list(found.items())


def parts_of(jobs: Sequence[Job], *, people: bool = True) -> dict[int, Parts]:
    """By job's key, in a constant number of queries; without ``people`` neither firm nor contacts.

    Drafts are read only of jobs that have not released both parts.
    """
    released = footings(jobs)
    keys = [job.pk for job in jobs]
    drafted = [k for k in keys if not {"ground_station", "turbine"} <= set(released[k].in_force)]
    stations, turbines = dict[int, GroundStationDesign](), dict[int, TurbineDesign]()
    if drafted:
        stations = {row.job_id: row for row in GroundStationDesign.objects.filter(job__in=drafted)}
        designs = TurbineDesign.objects.filter(job__in=drafted).select_related("model")
        turbines = {design.job_id: design for design in designs}
    firm, found = Firm.objects.first() if people else None, {}
    for job in jobs:
        in_force = released[job.pk].in_force
        station, said = _station(stations.get(job.pk), in_force.get("ground_station"))
        machine, machine_said = _machine(turbines.get(job.pk), in_force.get("turbine"))
        found[job.pk] = Parts(
            station=station,
            station_said=said,
            machine=machine,
            machine_said=machine_said,
            firm=firm,
            contacts=tuple(contacts_of(job)) if people else (),
        )
    return found


def _station(
    draft: GroundStationDesign | None, released: DesignRevision | None
) -> tuple[GroundStationFigures | None, str]:
    try:
        if released is not None:
            return released_design(released.inputs), f"ground station {released.letter}"
        return (draft.figures, "ground station draft") if draft else (None, "")
    except InputError:
        return None, ""  # no figures of today's declaration: nothing is known


def _machine(draft: TurbineDesign | None, released: DesignRevision | None) -> tuple[Machine | None, str]:
    if released is not None:
        given = released_machine(released)
        return (given.machine if given else None), f"turbine {released.letter}"
    model = draft.model if draft else None
    return machine_of(model.figures() if model else None), "turbine draft"


def application_of(job: Job) -> UtilityApplication:
    """The job's, or an empty one that is not saved."""
    return UtilityApplication.objects.filter(job=job).select_related("agent_letter").first() or (
        UtilityApplication(job=job)
    )


def applied(job: Job) -> Applied:
    return put_together(job, application_of(job), parts_of([job])[job.pk])


def put_together(job: Job, row: UtilityApplication, parts: Parts) -> Applied:
    items = (*_account(job, row, parts), *_equipment(row, parts), *_connection(row, parts))
    check = current_check(row, parts)
    gaps = [item.gap for item in items if item.gap]
    if check.verdict is Verdict.FAILS:
        gaps.append(Gap(f"power applied for is more than the wiring is sized for ({check.note})", STATION))
    return Applied(row, parts, items, check, tuple(gaps))


def current_check(row: UtilityApplication, parts: Parts) -> Check:
    return applied_current(
        row.ac_kw,
        parts.station.inverter_v if parts.station else None,
        three_phase=parts.three_phase,
        wired_a=parts.amps,
    )


def _own(
    key: str, group: str, label: str, words: str, *, missing: str = "", source: str = "", page: str = HERE
) -> Item:
    gap = Gap(missing or label.lower(), page, f"id_{key}" if page == HERE else "") if not words else None
    return Item(key, group, label, words, source if words else "", gap)


ACCOUNT, EQUIPMENT, CONNECTION = "Account and signature", "Equipment", "Connection"


def _account(job: Job, row: UtilityApplication, parts: Parts) -> list[Item]:
    site = ", ".join(filter(None, [job.address, job.place, job.state])) if job.address else ""
    where = row.service_address or site
    owner = next((c for c in parts.contacts if c.kind == ContactKind.OWNER), None)
    reach = ", ".join(filter(None, [owner.phone, owner.mail])) if owner else ""
    insured = row.insurance or (parts.firm.insured if parts.firm else "")
    desk = next((c for c in parts.contacts if c.kind == ContactKind.UTILITY), None)
    return [
        _own("utility", ACCOUNT, "Utility", job.utility, source="job", page=JOB),
        _own(
            "utility_contact",
            ACCOUNT,
            "Its contact",
            ", ".join(filter(None, [desk.person, desk.phone, desk.mail])) if desk else "",
            source="contacts",
            page=CONTACTS,
            missing="whom to reach at the utility",
        ),
        _own("billed_name", ACCOUNT, "Name as billed", row.billed_name),
        _own("account", ACCOUNT, "Account number", row.account),
        _own("meter_number", ACCOUNT, "Meter number", row.meter_number),
        _own(
            "service_address",
            ACCOUNT,
            "Service address",
            where,
            source="" if row.service_address else "job",
            page=JOB,
        ),
        _own(
            "owner_contact",
            ACCOUNT,
            "Owner’s phone and mail",
            reach,
            source="contacts",
            page=CONTACTS,
            missing="how to reach the owner",
        ),
        _signer(row),
        _own(
            "in_service_on",
            ACCOUNT,
            "Planned in service",
            day_words(row.in_service_on, year=True) if row.in_service_on else "",
        ),
        _own("insurance", ACCOUNT, "Liability insurance", insured, source="" if row.insurance else "firm"),
    ]


def _signer(row: UtilityApplication) -> Item:
    if not row.signer or not row.signer_name:
        at = "id_signer_name" if row.signer else "id_signer"
        return Item("signer", ACCOUNT, "Signed by", "", gap=Gap("who signs", HERE, at))
    words = f"{row.signer_name}, {Signer(row.signer).label}"
    if row.signer == Signer.AGENT and row.agent_letter_id is None:
        gap = Gap("the account holder's letter to the agent", HERE, "id_letter")
        return Item("signer", ACCOUNT, "Signed by", words, gap=gap)
    return Item("signer", ACCOUNT, "Signed by", words)


def kw(value: float | None) -> str:
    return quantity_words(value, "kW") if value is not None else ""


def _equipment(row: UtilityApplication, parts: Parts) -> list[Item]:
    machine, station, said = parts.machine, parts.station, parts.station_said
    found = [
        _own(
            "turbine",
            EQUIPMENT,
            "Turbine",
            f"{machine.name}, {kw(machine.rated_kw)}, {machine.output}" if machine else "",
            source=parts.machine_said,
            page=TURBINE,
        )
    ]
    if parts.direct:
        gap = Gap("the machine is on the grid without an inverter: the utility's form for that", STATION)
        return [*found, Item("inverter", EQUIPMENT, "Inverter", "none", said, gap)]
    phases = "three-phase" if parts.three_phase else "single-phase"
    volts = f"{quantity_words(station.inverter_v, 'V')}, {phases}" if station else ""
    return [
        *found,
        _own(
            "inverter",
            EQUIPMENT,
            "Inverter, make and model",
            station.inverter if station else "",
            source=said,
            page=STATION,
        ),
        _own("firmware", EQUIPMENT, "Inverter’s firmware", row.firmware),
        _own("ac_kw", EQUIPMENT, "AC rating", kw(row.ac_kw)),
        _own("volts", EQUIPMENT, "Output voltage", volts, source=said, page=STATION),
        _current(row, parts),
        _listing(row, parts),
        _own("certificate", EQUIPMENT, "Certificate of the listing", row.certificate),
        _own("category", EQUIPMENT, "Abnormal operating category", row.category),
    ]


def _current(row: UtilityApplication, parts: Parts) -> Item:
    """Follows from power, voltage and phases; it is asked of nobody."""
    if row.ac_kw is None or parts.station is None:
        return Item("amps", EQUIPMENT, "Output current", "follows from the AC rating")
    amps = output_current(row.ac_kw, parts.station.inverter_v, three_phase=parts.three_phase)
    sized = f"; wired for {quantity_words(parts.amps, 'A')} ({parts.station_said})" if parts.amps else ""
    gap = None if parts.amps else Gap("the inverter's continuous output current", STATION)
    return Item("amps", EQUIPMENT, "Output current", f"{amps:,.1f} A{sized}", gap=gap)


def _listing(row: UtilityApplication, parts: Parts) -> Item:
    label, listed = "Listed to", parts.station.inverter_listed if parts.station else None
    if listed is None:
        gap = Gap("whether the inverter is listed as interactive", STATION)
        return Item("listing", EQUIPMENT, label, row.listing, gap=gap)
    if not listed:
        gap = Gap("the ground station says that the inverter is not listed", STATION)
        return Item("listing", EQUIPMENT, label, "not listed", parts.station_said, gap)
    return _own("listing", EQUIPMENT, label, row.listing, missing="the listing (UL 1741, SA or SB)")


def _connection(row: UtilityApplication, parts: Parts) -> list[Item]:
    station = parts.station
    switch = next((d for d in station.disconnects if d.utility == "yes"), None) if station else None
    locks = {"yes": "lockable open", "no": "not lockable"}.get(switch.lockable, "") if switch else ""
    words = ", ".join(filter(None, [switch.name, f"{switch.rating_a:g} A", locks])) if switch else ""
    return [
        _own("export_kw", CONNECTION, "Largest export", kw(row.export_kw)),
        _own("load_kw", CONNECTION, "Customer’s load", kw(row.load_kw)),
        _own(
            "disconnect",
            CONNECTION,
            "Utility’s disconnect",
            words,
            source=parts.station_said,
            page=STATION,
            missing="a disconnect for the utility",
        ),
        _own(
            "disconnect_place",
            CONNECTION,
            "Where it is",
            row.disconnect_place,
            missing="where the disconnect is",
        ),
        _own(
            "transformer",
            CONNECTION,
            "Utility transformer",
            quantity_words(station.service_kva, "kVA") if station and station.service_kva else "",
            source=parts.station_said,
            page=STATION,
        ),
    ]


# what the utility was told and must be told again when it is another
TOLD = (
    "inverter",
    "firmware",
    "ac_kw",
    "volts",
    "listing",
    "certificate",
    "category",
    "export_kw",
    "turbine",
)


def told_of(found: Applied) -> dict[str, list[str]]:
    """[label, words] of what is held against what is installed, by its key."""
    return {item.key: [item.label, item.words] for item in found.items if item.key in TOLD}


def changes(told: Mapping[str, list[str]], now: Mapping[str, list[str]]) -> tuple[str, ...]:
    """ "Inverter’s firmware was 2.1, is 2.3" for each that is another now."""
    found = []
    for key in dict.fromkeys([*told, *now]):
        was, stands = told.get(key, ["", ""]), now.get(key, ["", ""])
        if was[1] != stands[1]:
            label = stands[0] or was[0]
            found.append(f"{label} was {was[1] or 'not given'}, is {stands[1] or 'not given'}")
    return tuple(found)
