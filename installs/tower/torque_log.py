"""Reads the torque log: entries of the field record into the state of every bolt.

F07 and F08 are the early passes, one entry a joint, ``data["failed"]`` naming the bolts that kept turning;
F09 is the last pass, bolt by bolt; F10 the second person's check. The subject is "joint 2 pass 3 bolt B4"
(F10: "joint 2"). ``data``: ``wrench`` its serial number, ``target_ft_lb`` the torque aimed at, ``failed``
true (or a list of bolts), ``new_bolt`` true where bolt, nut and washer were replaced, ``bolts`` what was
checked (a list, or "all"). Of a line keyed in from paper the person is who wrote it there, and its place is
by the time on the paper.

A torque whose wrench is unknown or out of calibration on that day, or that was set to something else than
the plan asks, is kept and shown, but not counted. A joint is complete when every pass of every bolt is
torqued, the last one bolt by bolt, and a second person has checked enough bolts after that. A bolt that
failed opens its joint: it must be replaced and torqued, and then all bolts of the joint inspected by the
second person.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Protocol

from installs.checklists.models import Entry
from installs.checklists.standing import happened, standing
from installs.equipment.getters import with_records
from installs.equipment.models import Wrench
from installs.jobs.kept import kept_shared
from installs.jobs.models import DesignRevision, Job
from installs.jobs.reading import read_once
from installs.jobs.standing import footings
from installs.people.models import User
from installs.tower.facts import JointFacts, joints
from installs.tower.from_paper import hand, hand_key, in_order
from installs.tower.torque import DOUBTED, FAILED, TO_DO, TORQUED, BoltState, JointState, TorqueState
from sitecalc.inputs import InputError

PASS_CODES = ("F07", "F08", "F09")
CHECK_CODE = "F10"
TOLERANCE = 0.05
SUBJECT = re.compile(r"joint (\d+)(?: pass (\d+))?(?: bolt (\w+))?$")


def pass_code(number: int, passes: int) -> str:
    """Code of the item that a pass is recorded under: the first, those between, the last."""
    if number == passes:
        return PASS_CODES[-1]
    return PASS_CODES[0] if number == 1 else PASS_CODES[1]


class Calibrated(Protocol):
    """A torque wrench that knows whether it was in calibration on a day."""

    def valid_on(self, day: date) -> bool: ...


@dataclass
class _Log:
    """What was read so far of one joint: state by (pass, bolt), why by bolt, the check by bolt."""

    joint: JointFacts
    states: dict[tuple[int, str], str] = field(default_factory=dict)
    last_by: dict[str, Entry] = field(default_factory=dict)
    doubts: dict[tuple[int, str], str] = field(default_factory=dict)
    checked: dict[str, Entry] = field(default_factory=dict)
    had_failure: bool = False
    check_doubt: str = ""
    unread: dict[tuple[str, str], Entry] = field(default_factory=dict)
    read: list[tuple[Entry, User | None]] = field(default_factory=list)

    @property
    def last(self) -> int:
        return len(self.joint.passes)

    def state(self, number: int, bolt: str) -> str:
        return self.states.get((number, bolt), TO_DO)


@dataclass(frozen=True)
class _Site:
    """What the log is read against: wrenches by serial, the date at the site of an entry, people by key."""

    wrenches: Mapping[str, Calibrated]
    day_of: Callable[[Entry], date]
    people: Mapping[int, User]


def torque_state(
    entries: Iterable[Entry],
    plan: Iterable[JointFacts],
    wrenches: Mapping[str, Calibrated],
    day_of: Callable[[Entry], date],
    letter: str = "?",
    people: Mapping[int, User] | None = None,
) -> TorqueState:
    """States of all joints. ``day_of(entry)`` is the date at the site on which an entry was taken.

    Entries are read in the order in which we received them, those from paper by their time, corrected ones
    left out. What names no joint, pass or bolt of the plan changes nothing. ``people`` are those who wrote
    the papers, by key.
    """
    site = _Site(wrenches, day_of, people or {})
    logs = {joint.number: _Log(joint) for joint in plan}
    for entry in in_order(standing(entries)):
        found = SUBJECT.match(entry.subject)
        log = logs.get(int(found[1])) if found else None
        if found is None or log is None or entry.said.get("cannot"):
            continue
        # what cannot be read keeps its joint open until it is corrected or recorded anew
        log.unread.pop((entry.code, entry.subject), None)
        if entry.unreadable:
            log.unread[entry.code, entry.subject] = entry
            continue
        log.read.append((entry, hand(entry, site.people)))
        if entry.code == CHECK_CODE:
            _read_check(log, entry, site)
        elif entry.code in PASS_CODES:
            _read_pass(log, entry, int(found[2] or 0), found[3] or "", site)
    return TorqueState(letter, tuple(_joint_state(log, site) for log in logs.values()))


def _read_pass(log: _Log, entry: Entry, number: int, bolt: str, site: _Site) -> None:
    """One torque entry: a whole early pass with its exceptions, or one bolt."""
    said = entry.said.get("failed")
    named = _bolts(log, said)
    if not 1 <= number <= log.last or (bolt and bolt not in log.joint.bolts):
        return
    if not bolt and (number == log.last or said is True):
        return  # the last pass counts bolt by bolt only, and a failure names its bolts
    doubt = _doubt(log.joint, number, entry, site)
    for each in (bolt,) if bolt else log.joint.bolts:
        if entry.said.get("new_bolt"):
            _replace(log, each)
        elif each in named or (bolt and said is True):
            _fail(log, number, each)
        else:
            _tighten(log, entry, number, each, doubt)


def _bolts(log: _Log, said: Any) -> set[str]:
    """The joint's bolts among what an entry names."""
    names = log.joint.bolts if said == "all" else said if isinstance(said, tuple) else ()
    return {name for name in names if name in log.joint.bolts}


def _replace(log: _Log, bolt: str) -> None:
    """New bolt, nut and washer: it starts at the first pass, as every bolt of its joint did."""
    for number in range(1, log.last + 1):
        log.states[number, bolt] = TO_DO
        log.doubts.pop((number, bolt), None)


def _fail(log: _Log, number: int, bolt: str) -> None:
    """The nut kept turning: the joint is open until all its bolts are inspected again."""
    log.states[number, bolt] = FAILED
    log.doubts.pop((number, bolt), None)
    log.had_failure = True
    log.checked.clear()


def _tighten(log: _Log, entry: Entry, number: int, bolt: str, doubt: str) -> None:
    # a nut that kept turning stays failed until bolt, nut and washer are new
    if any(log.state(n, bolt) == FAILED for n in range(1, log.last + 1)):
        return
    log.states[number, bolt] = DOUBTED if doubt else TORQUED
    log.doubts.pop((number, bolt), None)
    if doubt:
        log.doubts[number, bolt] = doubt
    if number == log.last:
        log.last_by[bolt] = entry
        # what is torqued after the check was not seen by it
        log.checked.pop(bolt, None)
        if log.had_failure:
            log.checked.clear()


def _doubt(joint: JointFacts, number: int, entry: Entry, site: _Site) -> str:
    """Why a torque does not count: no wrench, out of calibration, another torque. "" if it does."""
    wanted = joint.passes[number - 1].torque_ft_lb
    if wanted is None:
        return ""
    doubt = _wrench_doubt(entry, site)
    if doubt:
        return doubt
    given = entry.number if entry.number is not None else entry.said.get("target_ft_lb")
    if given is not None and not _near(given, wanted):
        return f"recorded at {given} ft-lb, {wanted:g} wanted"
    return ""


def _wrench_doubt(entry: Entry, site: _Site) -> str:
    serial = entry.said.get("wrench", "")
    wrench = site.wrenches.get(serial)
    if wrench is None:
        return f"wrench {serial} is not known" if serial else "no wrench named"
    if not wrench.valid_on(site.day_of(entry)):
        return f"wrench {serial} was not in calibration"
    return ""


def _near(given: Any, wanted: float) -> bool:
    return bool(abs(given - wanted) <= TOLERANCE * wanted)


def _read_check(log: _Log, entry: Entry, site: _Site) -> None:
    """The second person's check: which bolts, and which of them moved."""
    said = entry.said.get("failed")
    if said:
        # one that moves is torqued again, and then every bolt is checked
        log.had_failure = True
        log.checked.clear()
        for bolt in _bolts(log, said):
            if log.state(log.last, bolt) == TORQUED:
                log.states[log.last, bolt] = TO_DO
        return
    log.check_doubt = _check_doubt(log, entry, site)
    if log.check_doubt:
        return
    for bolt in _bolts(log, entry.said.get("bolts")):
        if log.state(log.last, bolt) == TORQUED:
            log.checked[bolt] = entry


def _check_doubt(log: _Log, entry: Entry, site: _Site) -> str:
    checker, torquers = hand(entry, site.people), [hand(e, site.people) for e in log.last_by.values()]
    if checker is None or None in torquers:
        return f"who {'checked' if checker is None else 'torqued'} the joint by the paper is not known"
    if checker in torquers:
        return "whoever torqued the joint does not check it"
    if log.joint.last_pass.torque_ft_lb is None:
        return ""
    doubt = _wrench_doubt(entry, site)
    return f"check: {doubt}" if doubt else ""


def _joint_state(log: _Log, site: _Site) -> JointState:
    joint = log.joint
    bolts = tuple(
        BoltState(b, tuple(log.state(n, b) for n in range(1, log.last + 1)), log.last_by.get(b))
        for b in joint.bolts
    )
    checks = log.checked.values()
    checkers = tuple(dict.fromkeys(hand(e, site.people) for e in checks))
    clerks = tuple(dict.fromkeys(e.person for e in checks if e.said.get("from_paper")))
    least = len(bolts) if log.had_failure else joint.checked_at_least()
    return JointState(joint, bolts, tuple(_open(log, bolts, least)), checkers, least, clerks, tuple(log.read))


def _open(log: _Log, bolts: tuple[BoltState, ...], least: int) -> Iterator[str]:
    """What keeps the joint open, most pressing first."""
    for entry in log.unread.values():
        yield f"{entry} (entry {entry.sequence}) cannot be read: {entry.unreadable}"
    failed = [b.bolt for b in bolts if b.failed]
    if failed:
        yield f"{', '.join(failed)} failed: new bolt, nut and washer"
    for why in dict.fromkeys(log.doubts.values()):
        where = dict.fromkeys(bolt for (_, bolt), w in log.doubts.items() if w == why)
        yield f"{why} ({', '.join(where) if len(where) < len(bolts) else 'all bolts'})"
    for index, step in enumerate(log.joint.passes):
        left = sum(b.passes[index] == TO_DO for b in bolts)
        if left:
            which = "not recorded" if left == len(bolts) else f"{left} of {len(bolts)} to go"
            yield f"pass {step.number} ({step.words}) {which}"
    if len(log.checked) < least:
        if log.check_doubt:
            yield log.check_doubt
        yield (
            "second check of all its bolts since then not recorded"
            if log.had_failure
            else f"second check of {least} bolts not recorded"
        )


@kept_shared
def _wrenches() -> dict[str, Calibrated]:
    return {w.serial: w for w in with_records(Wrench.objects.all())}


@read_once
def load_torque(jobs: Sequence[Job]) -> dict[int, TorqueState]:
    """Torque logs by job pk against the newest released tower. Five queries at most however many jobs."""
    keys = [job.pk for job in jobs]
    released = footings(jobs)
    entries: dict[int, list[Entry]] = {}
    kept = Entry.objects.filter(job__in=keys, code__in=(*PASS_CODES, CHECK_CODE)).select_related("person")
    for entry in filter(happened, kept):
        entries.setdefault(entry.job_id, []).append(entry)
    wrenches = _wrenches()
    people = User.objects.in_bulk({key for entry in kept if (key := hand_key(entry))})
    return {
        job.pk: _job_state(
            job, released[job.pk].in_force.get("tower"), entries.get(job.pk, []), wrenches, people
        )
        for job in jobs
    }


def _job_state(
    job: Job,
    revision: DesignRevision | None,
    entries: list[Entry],
    wrenches: Mapping[str, Calibrated],
    people: Mapping[int, User],
) -> TorqueState:
    """Nothing known, and so nothing torqued, where there is no release or it cannot be read."""
    if revision is None:
        return TorqueState("", ())
    try:
        plan = joints(revision)
    except InputError:
        return TorqueState(
            "", (), f"tower release {revision.letter} cannot be read, its joints are not known"
        )
    return torque_state(
        entries, plan, wrenches, lambda entry: job.local(entry.happened_at).date(), revision.letter, people
    )
