"""The state of a tower's bolts: what the torque log says, bolt by bolt and pass by pass."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from installs.tower.facts import JointFacts

TO_DO, TORQUED, FAILED, DOUBTED = "to do", "torqued", "failed", "not counted"
# of the paper torque log: bolts apart from the others (one that kept turning, new, its three passes, and one
# more), and checks
OWN_LINES, CHECK_LINES = 6, 2


@dataclass(frozen=True)
class BoltState:
    """One bolt: its state in each pass, and the entry that set the last one."""

    bolt: str
    passes: tuple[str, ...]
    last_entry: Any = None

    @property
    def last(self) -> str:
        return self.passes[-1]

    @property
    def failed(self) -> bool:
        return FAILED in self.passes


@dataclass(frozen=True)
class JointState:
    """One joint. ``open`` says in words what keeps it open; empty when complete.

    ``to_check`` is how many bolts a second person must check: all of them once one has failed or moved.
    ``keyed_in_by`` are those who keyed in the checks that stand on paper. ``read`` are the entries that
    stand, in the order in which they were read, each with whose hand it was (None: not known).
    """

    joint: JointFacts
    bolts: tuple[BoltState, ...]
    open: tuple[str, ...]
    checked_by: tuple[Any, ...] = ()
    to_check: int = 0
    keyed_in_by: tuple[Any, ...] = ()
    read: tuple[tuple[Any, Any], ...] = ()

    @property
    def complete(self) -> bool:
        return not self.open

    @property
    def torqued(self) -> int:
        """Bolts whose last pass is torqued."""
        return sum(b.last == TORQUED for b in self.bolts)

    @property
    def failed(self) -> tuple[str, ...]:
        return tuple(b.bolt for b in self.bolts if b.failed)

    @property
    def untouched(self) -> bool:
        return all(state == TO_DO for b in self.bolts for state in b.passes)

    def pass_state(self, number: int) -> str:
        """All torqued, some failed, some torqued, or to do, of one pass."""
        states = [b.passes[number - 1] for b in self.bolts]
        if FAILED in states:
            return FAILED
        if all(s == TORQUED for s in states):
            return TORQUED
        return "under way" if TORQUED in states else TO_DO

    def counted(self, number: int) -> tuple[int, int, int]:
        """(torqued, failed, to go) of one pass."""
        states = [b.passes[number - 1] for b in self.bolts]
        torqued, failed = states.count(TORQUED), states.count(FAILED)
        return torqued, failed, len(states) - torqued - failed

    def recorded(self, number: int) -> str:
        """ "23 torqued, 1 failed" of one pass, as page and paper say it."""
        torqued, failed, left = self.counted(number)
        if not torqued and not failed:
            return "not recorded"
        words = (f"{torqued} torqued", f"{failed} failed" if failed else "", f"{left} to go" if left else "")
        return ", ".join(filter(None, words))

    @property
    def next(self) -> tuple[int, str] | None:
        """(pass, bolt) that comes next: the first bolt to do of the earliest unfinished pass."""
        for number in range(1, len(self.joint.passes) + 1):
            for bolt in self.bolts:
                if bolt.passes[number - 1] in (TO_DO, DOUBTED):
                    return number, bolt.bolt
        return None


@dataclass(frozen=True)
class TorqueState:
    """All joints of a tower. ``letter`` is the release whose joints these are; "" if none can be read."""

    letter: str
    joints: tuple[JointState, ...]
    fault: str = "tower not released, its joints are not known"

    def chosen(self, wanted: str | None) -> JointState | None:
        """The joint asked for, else the first that is open, else the last."""
        asked = next((j for j in self.joints if str(j.joint.number) == wanted), None)
        last = self.joints[-1] if self.joints else None
        return asked or next((j for j in self.joints if not j.complete), last)

    @property
    def complete(self) -> bool:
        return bool(self.letter) and all(j.complete for j in self.joints)

    @property
    def bolts(self) -> int:
        return sum(len(j.bolts) for j in self.joints)

    @property
    def torqued(self) -> int:
        return sum(j.torqued for j in self.joints)

    @property
    def sentence(self) -> str:
        """For gates and pages: what is done, or what is open."""
        if not self.letter:
            return self.fault
        if not self.joints:
            return "the tower has no joints to torque"
        if self.complete:
            return f"all {self.bolts} tower bolts torqued and checked"
        failed = [f"{bolt} of joint {j.joint.number}" for j in self.joints for bolt in j.failed]
        words = f"{self.torqued} of {self.bolts} tower bolts at full torque"
        if failed:
            return f"{words}, {', '.join(failed)} failed"
        if self.torqued < self.bolts:
            return words
        waiting = next(j for j in self.joints if not j.complete)
        return f"{words}, joint {waiting.joint.number}: {waiting.open[0]}"
