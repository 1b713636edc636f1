"""The day of a pour in the demo: called for, read before the trucks, the trucks, and what is made beside them."""

from __future__ import annotations

from datetime import datetime, timedelta

from crew.demo.field import entry, picture
from crew.demo.people import Cast
from installs.checklists.models import Item
from installs.checklists.standing import needs_photo
from installs.jobs.models import Job
from installs.people.models import User
from sitecalc.pour.placing import EvaporationCase, evaporation
from sitecalc.wording import clock_field

LOADS = (9.5, 9.5, 9.5, 9.5, 6.0, 6.0)  # as the demo's pad is ordered
APART = timedelta(minutes=35)
# trucks whose concrete was sampled: cylinders for the lab, and for the box beside the pad
SETS = ((1, 3, 0), (2, 3, 3), (3, 3, 0), (4, 3, 3), (5, 3, 0))
OFF_IN = {"A": 0.0, "B": 0.0625, "C": -0.0625, "D": 0.0}


def call_the_day(job: Job, by: User, at: datetime, first: datetime) -> None:
    """Day and hour, and who was told of it, two days before."""
    entry(job, by, at, "D20", text=clock_field(job.local(first)), data={"for": first.isoformat()})
    for minutes, code, text in (
        (6, "D15", "D. Arneson, county, will come at 7:30"),
        (14, "D16", "Juniper Ready Mix, read back by Lorna"),
        (21, "D17", "M. Teigen, Harrow Testing, comes with the first truck"),
    ):
        entry(job, by, at + timedelta(minutes=minutes), code, text=text)


def before_the_trucks(job: Job, by: User, at: datetime, *, cold: bool) -> None:
    """Air and the coming nights, what the concrete will touch, and in the cold the covers."""
    air, low = (34.0, 22.0) if cold else (46.0, 41.0)
    entry(job, by, at, "D06", subject="air", number=air, unit="F", data={"low_f": low})
    if cold:
        entry(job, by, at + timedelta(minutes=5), "D18", text="14 blankets, 2 heaters, fuel for 3 nights")
    warmer = 0.0 if cold else 9.0
    for minutes, place, temp in ((9, "ground", 39.0), (11, "form", 37.0), (13, "steel", 36.0)):
        entry(job, by, at + timedelta(minutes=minutes), "D19", subject=place, number=temp + warmer, unit="F")


def pour_trucks(
    job: Job, cast: Cast, at: datetime, loads: tuple[float, ...], *, warm_f: float = 63.0
) -> None:
    """The trucks of a day; the slump of the second was read wrong and corrected."""
    ben = cast["ben"]
    for number, yards in enumerate(loads, start=1):
        begun = at + APART * (number - 1)
        batched = begun - timedelta(minutes=48)
        subject = f"truck {number}"
        ticket = f"{48820 + 7 * number}"
        entry(job, ben, begun, "D01", subject=subject, number=yards, unit="yd3", text=ticket,
              data={"ticket": ticket, "batched_at": batched.isoformat()})  # fmt: skip
        entry(job, ben, begun + timedelta(minutes=4), "D05", subject=subject, number=warm_f - 0.5 * number)
        entry(
            job,
            ben,
            begun + timedelta(minutes=6),
            "D03",
            subject=subject,
            number=5.75 if number == 2 else 4.25,
        )
        entry(job, ben, begun + timedelta(minutes=9), "D04", subject=subject, number=6.2)
        entry(job, ben, begun + timedelta(minutes=10), "D07", subject=subject, number=0.0)
        if number == 2:
            wrong = job.entries.filter(code="D03", subject=subject).get()
            entry(job, ben, begun + timedelta(minutes=12), "D03", subject=subject, number=4.5, corrects=wrong.uuid,
                  text="read on the wrong side of the rod")  # fmt: skip
        entry(job, ben, begun + timedelta(minutes=26), "D02", subject=subject, number=74.0)


def beside_the_trucks(job: Job, by: User, first: datetime, *, cold: bool) -> None:
    """Cylinders of five trucks with their marks, the evaporation, and the template taped twice."""
    tape_template(job, by, first + timedelta(minutes=100), "D13")
    for truck, lab, field in SETS:
        marks = f"{truck}L1 to {truck}L{lab}" + (f", {truck}F1 to {truck}F{field}" if field else "")
        data = {"lab": lab, "field": field, "marks": marks}
        entry(job, by, first + APART * (truck - 1) + timedelta(minutes=17), "D08", subject=f"truck {truck}",
              number=float(lab + field), text=marks, data=data)  # fmt: skip
    weather = (
        {"concrete_f": 56.0, "air_f": 35.0, "humidity_pct": 58.0, "wind_mph": 7.0}
        if cold
        else {"concrete_f": 62.0, "air_f": 49.0, "humidity_pct": 52.0, "wind_mph": 9.0}
    )
    rate = evaporation(EvaporationCase(**weather)).rate_lb_ft2_h
    entry(
        job, by, first + timedelta(minutes=205), "D22", number=round(rate, 3), unit="lb/ft2/h", data=weather
    )
    tape_template(job, by, first + timedelta(minutes=212), "D14")


def tape_template(job: Job, by: User, at: datetime, *codes: str) -> None:
    """Every leg against the drawing, a few minutes each."""
    for place, code in enumerate(codes):
        item = Item.objects.get(list__job=job, code=code)
        for step, (leg, off) in enumerate(OFF_IN.items()):
            minutes = 12 * place + 3 * step
            clock, name = at + timedelta(minutes=minutes), f"leg {leg}"
            photo = picture(item, name, by, clock) if needs_photo(item) else None
            entry(job, by, clock, code, subject=name, number=off, unit="in", photo=photo)
