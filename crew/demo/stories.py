"""Six jobs in different states, told through the same services the people use."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any

from crew.cranes.services import book
from crew.demo.designs import all_drafts, release
from crew.demo.field import (
    BY_LOG,
    do_phase,
    drawn_card,
    entry,
    log_temperatures,
    tick_list,
    torque_tower,
)
from crew.demo.machines import Yard
from crew.demo.other_designs import short, tall
from crew.demo.people import Cast
from crew.demo.pour import (
    LOADS,
    before_the_trucks,
    beside_the_trucks,
    call_the_day,
    pour_trucks,
    tape_template,
)
from crew.demo.utility import GRANTED, UNDER_WAY, fill_in, state
from crew.plan.models import CraneBooking, Crew, CrewDay
from crew.plan.services import add_day, move_day
from installs.checklists.services import copy_lists
from installs.gates.services import finish_phase, start_phase
from installs.inspection.models import Inspection, MeterReading
from installs.inspection.services import record_inspection, record_reading
from installs.jobs import services as jobs
from installs.jobs.models import Job
from installs.lift.models import TOWER_LIFT, TURBINE_LIFT
from installs.lift.services import sign_plan
from installs.materials.models import Valuation
from installs.materials.services import record_valuation
from installs.permits.models import Permit
from installs.permits.services import record_permit
from installs.pour.models import StrengthNotice
from installs.pour.services import record_notice

COUNTY, UTILITY, ONE_CALL = "Juniper County Building", "Coteau Electric Cooperative", "State one-call center"
DESK = "Coteau Electric, interconnection desk"
PARTS = ("site", "turbine", "tower", "foundation", "ground_station")


class Teller:
    """Tells one job's story, day by day before or after today."""

    def __init__(
        self, cast: Cast, yard: Yard, now: datetime, number: str, owner: str, place: str, **fields: Any
    ) -> None:
        self.cast, self.yard, self.now = cast, yard, now
        opened = now - timedelta(days=fields.pop("opened", 120))
        self.job: Job = jobs.open_job(
            {
                "number": number, "owner": owner, "place": place, "county": "Juniper County", "state": "ND",
                "zone": "America/Chicago", "authority": COUNTY, "utility": UTILITY, "engineer": cast["lindqvist"],
                "description": "Bluestem 15, 100 ft lattice tower", **fields,
            },
            by=cast["alma"], at=opened,
        )  # fmt: skip
        for name in ("ben", "tilda", "gus", "wendell", "ruth", "nadia"):
            jobs.add_member(self.job, cast[name], by=cast["alma"], at=opened)
        copy_lists(self.job, by=cast["alma"], at=opened)

    def at(self, days: int, hour: int = 8, minute: int = 0) -> datetime:
        """That hour of the site's clock, so many days from today; of today no hour that has not come."""
        then = datetime.combine(self.day(days), time(hour, minute), self.job.tz)
        return then if days > 0 else min(then, self.now)

    def day(self, days: int) -> date:
        return self.job.local(self.now).date() + timedelta(days=days)

    def permit(self, kind: str, asked_of: str, asked: int, **fields: Any) -> None:
        """Days are from today; what came back is recorded on the day it came."""
        at = self.at(fields.get("granted_on", asked), 15)
        dates = {n: self.day(v) if isinstance(v, int) else v for n, v in fields.items()}
        line = Permit(kind=kind, asked_of=asked_of, asked_on=self.day(asked), **dates)
        record_permit(self.job, line, [], by=self.cast["alma"], at=at)

    def utility(self, state_name: str, days: int, by_whom: str, **more: str) -> None:
        """One state of the application, recorded on its day."""
        state(self.job, state_name, self.day(days), by_whom, self.cast["alma"], self.at(days, 17), **more)

    def accepted(self, days: int) -> None:
        """The engineer signs in and accepts the concrete by the lab's report."""
        engineer = self.cast["lindqvist"]
        visit = Inspection(
            kind="concrete acceptance", inspector=engineer.full_name, firm=engineer.firm_name, passed=True,
            inspected_on=self.day(days), note="By the lab's report of the 28-day cylinders.",
        )  # fmt: skip
        record_inspection(self.job, visit, by=engineer, at=self.at(days, 16))

    def inspection(self, kind: str, inspector: str, days: int, *, firm: str = COUNTY) -> None:
        visit = Inspection(
            kind=kind,
            inspector=inspector,
            firm=firm,
            inspected_on=self.day(days),
            passed=True,
            number=f"{kind[0].upper()}-{4000 + abs(days)}",
        )
        record_inspection(self.job, visit, by=self.cast["alma"], at=self.at(days, 16))

    def drafts(self, days: int, lift_day: int, **changes: dict[str, Any]) -> dict[str, Any]:
        return all_drafts(self.job, self.cast, self.yard, self.at(days), self.day(lift_day), **changes)

    def release(self, drafts: dict[str, Any], days: int, *parts: str) -> None:
        for part in parts:
            release(drafts[part], part, self.cast["alma"], self.cast["lindqvist"], self.at(days, 14))

    def dig_and_pour(self, dig: int, pour: int, *, cold: bool) -> None:
        """Excavation, steel, footing inspection and the pour, with the pour's release before it."""
        ben = self.cast["ben"]
        self.permit("locate", ONE_CALL, dig - 5, granted_on=dig - 3, valid_from=dig - 3, expires_on=dig + 9,
                    number=f"L-{55100 + abs(dig)}")  # fmt: skip
        start_phase(self.job, "excavation", by=ben, at=self.at(dig, 7))
        tape_template(self.job, ben, self.at(dig + 1, 14), "C10", "C12")
        tick_list(self.job, "excavation", ben, self.at(dig, 8))
        finish_phase(self.job, "excavation", by=ben, at=self.at(dig + 1, 16))
        self.inspection("footing", "D. Arneson", dig + 1)
        first = self.at(pour, 8, 10)
        call_the_day(self.job, ben, self.at(pour - 2, 9), first)
        start_phase(self.job, "pour", by=ben, at=self.at(pour, 7))
        before_the_trucks(self.job, ben, self.at(pour, 7, 15), cold=cold)
        pour_trucks(self.job, self.cast, first, LOADS, warm_f=58 if cold else 63)
        beside_the_trucks(self.job, ben, first, cold=cold)
        tick_list(self.job, "pour", ben, self.at(pour, 12), skip=BY_LOG)
        finish_phase(self.job, "pour", by=ben, at=self.at(pour, 14))

    def cured(self, pour: int, until: int) -> None:
        """Temperatures to the day, field-cured breaks, notice, backfill and bolt survey."""
        tilda = self.cast["tilda"]
        tape_template(self.job, tilda, self.at(pour + 8, 9), "E11")
        log_temperatures(self.job, tilda, self.at(pour, 12), self.at(until, 6), cold=False)
        tick_list(self.job, "cure", tilda, self.at(pour + 8, 10), skip=("E03", "E08"))
        self.notice(pour, pour + 28, "field", (4310.0, 4240.0, 4370.0))
        self.notice(pour, pour + 28, "lab", (5030.0, 4960.0, 5110.0))
        entry(self.job, tilda, self.at(pour + 29, 9), "E08", text="notice of the lab seen")

    def notice(self, pour: int, on: int, cure: str, psi: tuple[float, ...]) -> None:
        cylinders = [{"mark": f"{cure[0].upper()}{n}", "psi": value} for n, value in enumerate(psi, start=1)]
        notice = StrengthNotice(
            cure=cure, age_days=float(on - pour), diameter_in=4, cylinders=cylinders, signer="M. Teigen",
            firm="Harrow Testing", written_on=self.day(on),
        )  # fmt: skip
        record_notice(self.job, notice, by=self.cast["alma"], at=self.at(on, 15))

    def crew_days(
        self, crew: Crew, *plan: tuple[str, int], kind: str = CrewDay.Kind.WORK, note: str = ""
    ) -> list[CrewDay]:
        first = min(days for _, days in plan)
        at = self.at(first - 3) if first < 0 else self.now
        made = []
        for phase, days in plan:
            fields: dict[str, Any] = {"by": self.cast["alma"], "at": at, "kind": kind, "note": note}
            people = [crew.foreman, *crew.people.all()]
            if phase in ("ground station", "commissioning"):
                people = [self.cast["nadia"], self.cast["ruth"]]
            made.append(add_day(self.job, phase, self.day(days), crew, people=people, **fields))
        return made


def finished(cast: Cast, yard: Yard, now: datetime) -> Job:
    """Two years in service: every phase passed, meters read each month."""
    year = now.year - 2
    t = Teller(
        cast,
        yard,
        now,
        f"{year}-003",
        "Tilley Farm",
        "Rush Lake Twp",
        opened=920,
        address="3180 County Road 22",
        parcel="22-0388",
    )
    drafts = t.drafts(-900, -740)
    t.permit("building", COUNTY, -890, granted_on=-860, number=f"B-{year % 100}-0114")
    t.release(drafts, -880, *PARTS)
    fill_in(t.job, GRANTED, cast["alma"], t.at(-880, 16), in_service_on=t.day(-700))
    t.utility("sent", -880, "A. Reyes")
    t.release(t.drafts(-879, -740), -878, "pour")
    t.utility("acknowledged", -877, DESK, number="A-771")
    t.utility("complete", -869, DESK)
    t.utility("screened", -850, DESK)
    t.utility("approved", -840, DESK, number="A-771", words="Lockable disconnect within 10 ft of the meter.")
    t.utility("agreement signed", -836, "Gus Tilley")
    t.dig_and_pour(-800, -797, cold=False)
    t.cured(-797, -745)
    t.accepted(-760)
    tower_and_after(t, lift=-740, operate=-716)
    read = [0.0, 0.0, 0.0]
    for month in range(25):
        share = (1.32, 1.25, 1.3, 1.18, 1.02, 0.82, 0.66, 0.64, 0.83, 0.98, 1.1, 1.18)[month % 12]
        if month:
            produced = 2050.0 * share
            read = [read[0] + produced, read[1] + 610.0, read[2] + 0.58 * produced]
        days = -715 + round(month * 30.4)
        if days > 0:
            break
        reading = MeterReading(read_on=t.day(days), production_kwh=round(read[0]), import_kwh=round(read[1]),
                               export_kwh=round(read[2]))  # fmt: skip
        record_reading(t.job, reading, by=cast["alma"], at=t.at(days, 11))
    t.inspection("annual", "Ruth Eagleton", -350, firm="Coulee Bend Wind (demo)")
    return t.job


def tower_and_after(t: Teller, lift: int, operate: int) -> None:
    """Assembly, wiring, both lifts, energizing, commissioning: each through its open gate."""
    cast, job = t.cast, t.job
    start_phase(job, "tower assembly", by=cast["tilda"], at=t.at(lift - 3, 7))
    torque_tower(job, cast, t.at(lift - 3, 9), t.yard.wrench.serial)
    tick_list(job, "tower assembly", cast["tilda"], t.at(lift - 3, 15), skip=BY_LOG)
    finish_phase(job, "tower assembly", by=cast["tilda"], at=t.at(lift - 2, 11))
    wire(t, lift - 4)
    drafts = t.drafts(lift - 6, lift)
    t.release(drafts, lift - 5, TOWER_LIFT, TURBINE_LIFT)
    for which in (TOWER_LIFT, TURBINE_LIFT):
        sign_both(t, which, lift - 4)
    do_phase(job, "tower lift", cast["tilda"], t.at(lift, 7), 4)
    do_phase(job, "turbine lift", cast["tilda"], t.at(lift, 12), 4)
    start_phase(job, "rotor up", by=cast["tilda"], at=t.at(lift, 17))
    t.inspection("electrical", "K. Haugen", lift + 9)
    start_phase(job, "backfeed", by=cast["nadia"], at=t.at(lift + 10, 9))
    t.utility("witness asked", lift + 5, "A. Reyes")
    t.utility("permission to test", lift + 12, DESK, number="T-88")
    start_phase(job, "commissioning", by=cast["nadia"], at=t.at(lift + 13, 8))
    start_phase(job, "parallel for test", by=cast["nadia"], at=t.at(lift + 13, 9))
    tick_list(job, "commissioning", cast["nadia"], t.at(lift + 13, 10))
    t.utility("tested", lift + 13, DESK, words="Open and close at the disconnect, witnessed.")
    t.utility("letter to operate", operate - 1, DESK, number="O-90")
    start_phase(job, "operation", by=cast["nadia"], at=t.at(operate, 9))
    finish_phase(job, "commissioning", by=cast["nadia"], at=t.at(operate, 15))
    start_phase(job, "maintenance", by=cast["alma"], at=t.at(operate + 1, 9))


def wire(t: Teller, day: int) -> None:
    """The ground station on one day, its permit and ticket before it, seen roughed in before it is covered."""
    t.permit("electrical", COUNTY, day - 30, granted_on=day - 12, number=f"E-{4100 + abs(day)}")
    t.permit("locate", ONE_CALL, day - 5, granted_on=day - 3, valid_from=day - 3, expires_on=day + 9,
             number=f"L-{56100 + abs(day)}")  # fmt: skip
    start_phase(t.job, "ground station", by=t.cast["nadia"], at=t.at(day, 8))
    tick_list(t.job, "ground station", t.cast["nadia"], t.at(day, 8, 20))
    t.inspection("rough-in", "K. Haugen", day)
    finish_phase(t.job, "ground station", by=t.cast["nadia"], at=t.at(day, 16))


def sign_both(t: Teller, which: str, days: int) -> None:
    newest = t.job.revisions.newest(which)
    if newest is None:
        raise LookupError(f"{which} of {t.job} is not released")
    letter = newest.letter
    sign_plan(t.job, which, letter, "lift director", by=t.cast["ben"], at=t.at(days, 10))
    # of the tower's lift the operator's signed sheet is at hand, of the turbine's it is not
    sheet = drawn_card(f"Lift card {letter}, signed: operator") if which == TOWER_LIFT else None
    sign_plan(t.job, which, letter, "operator", by=t.cast["ben"], at=t.at(days, 11), sheet=sheet)


def ready_to_lift(cast: Cast, yard: Yard, now: datetime) -> Job:
    """Cure reached, notice written, tower bolted, plan signed: lifts in two days."""
    t = Teller(
        cast,
        yard,
        now,
        f"{now.year}-008",
        "Harrow School District",
        "Harrow",
        parcel="14-0220",
        address="410 School Road",
    )
    drafts = t.drafts(-110, 2)
    t.permit("building", COUNTY, -105, granted_on=-80, number=f"B-{now.year % 100}-0207")
    t.permit("utility application", UTILITY, -100, granted_on=-62, number="A-804")
    t.release(drafts, -100, *PARTS)
    t.release(t.drafts(-99, 2), -98, "pour")
    t.crew_days(cast.pad, ("excavation", -45), ("excavation", -44), ("pour", -42))
    t.dig_and_pour(-45, -42, cold=False)
    t.cured(-42, 0)
    t.accepted(-12)
    job = t.job
    for day in t.crew_days(cast.tower, ("tower assembly", -6)):
        move_day(day, t.day(-5), "sleet, nobody on the steel", by=cast["alma"], at=t.at(-6, 8))
    start_phase(job, "tower assembly", by=cast["tilda"], at=t.at(-5, 7))
    torque_tower(job, cast, t.at(-5, 9), yard.wrench.serial, turned=(2, "B4"))
    tick_list(job, "tower assembly", cast["tilda"], t.at(-4, 9), skip=BY_LOG)
    finish_phase(job, "tower assembly", by=cast["tilda"], at=t.at(-4, 15))
    wire(t, -7)
    t.release(t.drafts(-6, 2), -6, TOWER_LIFT, TURBINE_LIFT)
    sign_both(t, TOWER_LIFT, -3)
    t.permit("utility test", UTILITY, -14, promised_on=6)
    t.crew_days(cast.tower, ("tower lift", 2), ("turbine lift", 2), note="crane on site 6:30 AM")
    booking = CraneBooking(
        crane=yard.crane, first_on=t.day(2), last_on=t.day(3), cancel_by_on=t.day(1), cancel_by_at=time(14, 0),
        cost_cents=285_000, phone="555-0142",
    )  # fmt: skip
    book(booking, confirmed=True, by=cast["alma"], at=t.at(-6, 11))
    t.crew_days(cast.tower, ("tower lift", 3), kind=CrewDay.Kind.WEATHER)
    t.crew_days(cast.tower, ("ground station", 8), ("commissioning", 13))
    return job


def curing(cast: Cast, yard: Yard, now: datetime) -> Job:
    """A cold-weather pour twelve days ago: losing heat, one frozen night, lab cylinders that do not count."""
    t = Teller(
        cast,
        yard,
        now,
        f"{now.year}-011",
        "Aasen Dairy",
        "Rush Lake Twp",
        parcel="22-0417",
        address="2745 County Road 22",
    )
    held = {"protection_days": 45.0, "held_f": 46.0}
    drafts = t.drafts(-75, 25, pour=held)
    t.permit("building", COUNTY, -70, granted_on=-38, number=f"B-{now.year % 100}-0231")
    t.permit("utility application", UTILITY, -60, promised_on=4)
    t.release(drafts, -66, *PARTS)
    t.release(t.drafts(-65, 25, pour=held), -64, "pour")
    t.crew_days(cast.pad, ("excavation", -15), ("excavation", -14), ("pour", -12))
    t.dig_and_pour(-15, -12, cold=True)
    log_temperatures(t.job, cast["ben"], t.at(-12, 12), t.at(0, 5), cold=True)
    entry(t.job, cast["ben"], t.at(-11, 8), "E02", number=0.6)
    t.notice(-12, -5, "lab", (3190.0, 3120.0, 3240.0))
    return t.job


def failing(cast: Cast, yard: Yard, now: datetime) -> Job:
    """The foundation draft fails frost depth and nobody has given the water; the usual crane is too small."""
    t = Teller(
        cast,
        yard,
        now,
        f"{now.year}-014",
        "Delmar and Joy Kettleson",
        "Cut Coulee Twp",
        opened=50,
        address="8820 Coulee Road",
        parcel="27-0145",
        description="Needlegrass 25, 140 ft lattice tower",
    )
    drafts = t.drafts(-30, 70, **tall(yard))
    t.release(drafts, -28, "site", "turbine", "tower", "ground_station")
    t.permit("building", COUNTY, -25, promised_on=18)
    t.permit("utility application", UTILITY, -24, promised_on=20)
    return t.job


def just_designed(cast: Cast, yard: Yard, now: datetime) -> Job:
    """Every part released last week, nothing asked of anybody yet."""
    t = Teller(
        cast,
        yard,
        now,
        f"{now.year}-019",
        "Plum Township",
        "Plum Twp",
        opened=40,
        parcel="31-0007",
        address="102 Hall Street",
        description="Switchgrass 8, 60 ft tube tower",
    )
    t.release(t.drafts(-12, 150, **short(yard)), -8, *PARTS)
    return t.job


def in_permits(cast: Cast, yard: Yard, now: datetime) -> Job:
    """Released and sent: the county's answer is due today, the airspace notice runs."""
    t = Teller(
        cast,
        yard,
        now,
        f"{now.year}-016",
        "Juniper Rural Water",
        "Plum Twp",
        opened=60,
        parcel="31-0102",
        address="1290 County Road 9",
    )
    t.release(t.drafts(-32, 80), -30, *PARTS)
    t.release(t.drafts(-29, 80), -28, "pour")
    t.permit("building", COUNTY, -24, promised_on=0)
    t.permit("conditional use", "Juniper County Board", -24, granted_on=-6, number="CU-19")
    said = Valuation(amount_cents=11_840_000, covers="contract", said_by="A. Reyes", said_on=t.day(-25))
    record_valuation(t.job, said, by=cast["alma"], at=t.at(-25, 10))
    t.permit("airspace", "Federal airspace office", -20, promised_on=25)
    t.permit("utility application", UTILITY, -20, asked_again_on=-4, promised_on=12)
    fill_in(t.job, UNDER_WAY, cast["alma"], t.at(-20, 16), in_service_on=t.day(150))
    t.utility("sent", -20, "A. Reyes", number="by portal")
    t.utility("acknowledged", -17, DESK, number="A-852")
    return t.job
