"""Field records of the demo: lists ticked, trucks, temperatures, torque, written by the people of the job."""

from __future__ import annotations

import io
import math
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from typing import Any

from django.core.files.base import ContentFile
from PIL import Image, ImageDraw

from crew.demo.people import Cast
from installs.checklists.models import Item, ItemKind, Weight
from installs.checklists.standing import needs_photo
from installs.checklists.state import ItemState, list_states
from installs.checklists.taking import take_entry
from installs.files.models import StoredFile
from installs.files.services import store_photo
from installs.gates.services import finish_phase, start_phase
from installs.jobs.models import Job
from installs.people.models import User
from installs.pour.services import import_log
from installs.tower.torque_log import load_torque
from sitecalc.pour.logger import parse_log
from sitecalc.tower.bolting import Pass

# readings that have no limits of their own on the list
READINGS = {
    "A03": 190.0, "A04": 480.0, "A05": 3.0, "B01": 1.8, "B06": 18.5, "B07": 54.0, "C02": 8.5, "C04": 3.0,
    "C15": 4.0, "D06": 41.0, "D08": 6.0, "E02": 0.5, "E09": 3600.0, "F03": 600.0, "F06": 255.0, "F12": 0.4,
    "F13": 320.0, "F15": 5440.0, "F16": 502.0, "G04": 255.0, "G05": 6.0, "G09": 240.0, "H01": 54.0,
    "H05": 1540.0, "H07": 32.0, "H09": 118.0, "H10": 8400.0, "H12": 9.0, "H16": 3370.0, "I02": 34.0, "I05": 8.0,
    "I10": 26.0, "J04": 241.0, "J08": 9.0, "J09": 94.0, "J11": 1.5, "H08": 430.0, "F05": 0.0,
}  # fmt: skip
BY_TRUCK = ("D01", "D02", "D03", "D04", "D05", "D07")
BY_LOG = (*BY_TRUCK, "E03", "F07", "F08", "F09", "F10")


def entry(job: Job, by: User, at: datetime, code: str, **fields: Any) -> None:
    take_entry(job, by=by, received_at=at + timedelta(seconds=40), taken_at=at, code=code, **fields)


def tick_list(job: Job, phase: str, by: User, at: datetime, *, skip: tuple[str, ...] = ()) -> None:
    """Record whatever is still open of a phase's lists, each subject of an item, a few minutes apart."""
    lists = list_states(job, job.lists.filter(phase=phase))
    states = [s for kept in lists for s in kept.items if s.item.weight != Weight.RECORD and not s.done]
    clock = at
    for state in states:
        item = state.item
        if item.code in skip:
            continue
        for name in state.lacking if state.names else (_subject(item),):
            photo = picture(item, name, by, clock) if needs_photo(item) else None
            entry(job, by, clock, item.code, **_fields(state, by), subject=name, photo=photo)
            clock += timedelta(minutes=4)


def picture(item: Item, name: str, by: User, at: datetime) -> StoredFile:
    return store_photo(drawn_card(f"{item.code} {name}".strip()), by=by, at=at)


def drawn_card(title: str) -> ContentFile[bytes]:
    """A plain card in place of a photo: the demo has no camera."""
    card = Image.new("RGB", (480, 360), "#d9d6cc")
    pen = ImageDraw.Draw(card)
    pen.rectangle((12, 12, 467, 347), outline="#333", width=3)
    pen.text((30, 40), title, fill="#222")
    pen.text((30, 70), "Photo of the demo", fill="#222")
    out = io.BytesIO()
    card.save(out, "PNG")
    return ContentFile(out.getvalue(), "card.png")


def _fields(state: ItemState, by: User) -> dict[str, object]:
    item = state.item
    if item.kind == ItemKind.READING:
        number = READINGS.get(item.code)
        if number is None:
            low, high = state.limit.low, state.limit.high
            number = (
                0.0
                if low is not None and high is not None and low < 0
                else (low if low is not None else high)
            )
        return {"number": number}
    if item.kind == ItemKind.SIGNATURE:
        return {"data": {"signed": by.full_name}}
    if item.kind == ItemKind.DOCUMENT:
        return {"text": state.limit.named or "seen"}
    return {}


def _subject(item: Item) -> str:
    """Where no design says how they are called."""
    return {"leg": "leg A", "joint": "joint 1", "sensor": "core", "cylinder": "F1"}.get(item.per, "")


def do_phase(job: Job, phase: str, by: User, at: datetime, hours: float = 8, **how: tuple[str, ...]) -> None:
    """Start, tick everything, finish."""
    start_phase(job, phase, by=by, at=at)
    tick_list(job, phase, by, at + timedelta(minutes=20), **how)
    finish_phase(job, phase, by=by, at=at + timedelta(hours=hours))


def logger_file(job: Job, first: datetime, hours: int, *, cold: bool) -> bytes:
    """An hourly log of three sensors and the air: protected at about 55 F, or a pad that is losing its heat."""
    lines = ["Time, edge (F), top (F), core (F), air (F)"]
    for hour in range(hours):
        at = job.local(first + timedelta(hours=hour))
        day = hour / 24
        swing = math.sin((at.hour - 9) / 24 * math.tau)
        heat = 24 * math.exp(-((day - 1.2) ** 2) / 3)  # the cement's own heat, greatest after a day
        if cold:
            air = 31 - 0.35 * day + 9 * swing
            edge = 56 + 0.5 * heat - 1.15 * day + 3 * swing
            if 3.55 < day < 3.85:
                edge = 29.5  # the blanket blew off
            top, core = edge + 4, 60 + heat - 0.75 * day
        else:
            air = 44 - 0.2 * day + 9 * swing
            edge, top, core = 55 + 0.5 * heat + 2 * swing, 57 + 0.6 * heat, 58 + heat
        lines.append(f"{at:%Y-%m-%d %H:%M}, {edge:.1f}, {top:.1f}, {core:.1f}, {air:.1f}")
    return "\n".join(lines).encode()


def log_temperatures(job: Job, by: User, poured: datetime, until: datetime, *, cold: bool) -> None:
    hours = int((until - poured).total_seconds() // 3600)
    content = logger_file(job, poured + timedelta(hours=1), hours - 1, cold=cold)
    how: dict[str, Any] = {"unit": "F", "clock": "site", "sure": False}
    log = parse_log(content.decode(), zone=job.zone, **how)
    import_log(job, content, log, how, f"logger-{job.number}.csv", by=by, at=until)


def torque_tower(
    job: Job,
    cast: Cast,
    at: datetime,
    wrench: str,
    *,
    joints: int | None = None,
    turned: tuple[int, str] = (0, ""),
) -> None:
    """Early passes by joint, the last bolt by bolt, then the second person's check; only some joints if asked.

    The nut of the bolt ``turned`` (joint, bolt) does not hold at the last pass: it gets a new bolt, and the whole
    joint its second check.
    """
    state = load_torque([job])[job.pk]
    gus, tilda = cast["gus"], cast["tilda"]
    clock = at
    for shown in state.joints[:joints]:
        joint = shown.joint
        for step in joint.passes[:-1]:
            clock += timedelta(minutes=14)
            code = "F07" if step.number == 1 else "F08"
            entry(job, gus, clock, code, subject=joint.subject(step.number), number=step.torque_ft_lb, unit="ft-lb",
                  data={"wrench": wrench, "torqued": len(joint.bolts), "failed": []})  # fmt: skip
        few = list(joint.bolts[: joint.checked_at_least()])
        for bolt in joint.bolts:
            clock += timedelta(minutes=1)
            if (joint.number, bolt) == turned:
                for code, step, told in _made_new(joint.passes):
                    clock += timedelta(minutes=3)
                    entry(job, gus, clock, code, subject=joint.subject(step.number, bolt), number=step.torque_ft_lb,
                          unit="ft-lb", data={"wrench": wrench, **told})  # fmt: skip
                few = list(joint.bolts)
            entry(job, gus, clock, "F09", subject=joint.subject(joint.last_pass.number, bolt),
                  number=joint.last_pass.torque_ft_lb, unit="ft-lb", data={"wrench": wrench})  # fmt: skip
        clock += timedelta(minutes=6)
        entry(
            job, tilda, clock, "F10", subject=f"joint {joint.number}", data={"bolts": few, "wrench": wrench}
        )


def _made_new(passes: Sequence[Pass]) -> Iterator[tuple[str, Pass, dict[str, bool]]]:
    """The nut kept turning, the bolt is new, and its early passes; the last is entered as of any bolt."""
    yield "F09", passes[-1], {"failed": True}
    yield "F09", passes[-1], {"new_bolt": True}
    for step in passes[:-1]:
        yield ("F07" if step.number == 1 else "F08"), step, {}
