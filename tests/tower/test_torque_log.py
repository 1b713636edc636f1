"""The torque log as the wrench hand and the gate read it."""

from __future__ import annotations

import itertools
from datetime import UTC, date, datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from installs.checklists.models import Entry
from installs.people.models import User
from installs.tower.facts import JointFacts
from installs.tower.torque import DOUBTED, FAILED, TO_DO, TORQUED
from installs.tower.torque_log import torque_state
from sitecalc.tower.bolting import passes

NOON = datetime(2031, 5, 19, 17, 0, tzinfo=UTC)
BEN, KIT = User(pk=1, full_name="Ben Osgood"), User(pk=2, full_name="Kit Moran")


class GoodUntil:
    """A wrench whose calibration ends on a day."""

    def __init__(self, last: date) -> None:
        self.last = last

    def valid_on(self, day: date) -> bool:
        return day <= self.last


WRENCHES = {"W-07": GoodUntil(date(2031, 5, 31)), "W-02": GoodUntil(date(2031, 5, 1))}
JOINT = JointFacts(
    number=2,
    at_ft=40.0,
    legs=("A", "B"),
    bolts_per_leg=3,
    size="3/4",
    grade="SAE 5",
    tightening="torque",
    passes=passes(265.0, "snug"),
)


class Log:
    """Entries one after the other, as they would arrive."""

    def __init__(self) -> None:
        self.entries: list[Entry] = []
        self.count = itertools.count(1)

    def add(self, code: str, subject: str, by: User = BEN, corrects: Entry | None = None, **fields) -> Entry:
        n = next(self.count)
        entry = Entry(pk=n, sequence=n, code=code, subject=subject, person=by, **fields)
        entry.corrects_id = corrects.pk if corrects else None
        entry.taken_at = NOON + timedelta(minutes=n)
        self.entries.append(entry)
        return entry

    def early(self, **data) -> None:
        self.add("F07", "joint 2 pass 1")
        self.add("F08", "joint 2 pass 2", data={"wrench": "W-07", **data})

    def bolt(self, bolt: str, by: User = BEN, number: float | None = 265.0, **data) -> Entry:
        data = {"wrench": "W-07", **data}
        return self.add("F09", f"joint 2 pass 3 bolt {bolt}", by, number=number, data=data)

    def early_of(self, bolt: str) -> None:
        """The early passes of one bolt that is new."""
        self.add("F07", f"joint 2 pass 1 bolt {bolt}")
        self.add("F08", f"joint 2 pass 2 bolt {bolt}", number=185.0, data={"wrench": "W-07"})

    def new_bolt(self, bolt: str) -> None:
        self.bolt(bolt, number=None, new_bolt=True)
        self.early_of(bolt)

    def all_bolts(self) -> None:
        for bolt in JOINT.bolts:
            self.bolt(bolt)

    def check(self, bolts, by: User = KIT, **data) -> Entry:
        return self.add("F10", "joint 2", by, data={"bolts": bolts, "wrench": "W-07", **data})

    @property
    def state(self):
        return torque_state(self.entries, [JOINT], WRENCHES, lambda e: e.taken_at.date()).joints[0]


def done() -> Log:
    log = Log()
    log.early()
    log.all_bolts()
    log.check(["A1", "B2"])
    return log


def test_nothing_recorded_is_open():
    state = Log().state
    assert not state.complete
    assert state.untouched
    assert state.next == (1, "A1")
    assert "pass 1 (snug) not recorded" in state.open


def test_complete_with_every_pass_and_a_second_persons_check():
    state = done().state
    assert state.complete, state.open
    assert state.torqued == 6
    assert state.checked_by == (KIT,)


def test_the_last_pass_counts_bolt_by_bolt_only():
    log = Log()
    log.early()
    log.add("F09", "joint 2 pass 3", number=265.0, data={"wrench": "W-07"})
    assert log.state.torqued == 0
    assert log.state.next == (3, "A1")


def test_an_early_pass_is_one_entry_with_exceptions():
    log = Log()
    log.early(failed=["B3"])
    assert log.state.counted(2) == (5, 1, 0)
    assert log.state.failed == ("B3",)


def test_without_an_early_pass_the_joint_stays_open():
    log = Log()
    log.add("F07", "joint 2 pass 1")
    log.all_bolts()
    log.check("all")
    assert log.state.open == ("pass 2 (185 ft-lb) not recorded",)


def test_too_few_checked_or_by_the_same_hand_does_not_count():
    log = done()
    log.entries.pop()
    log.check(["A1"])
    assert not log.state.complete
    log.check(["A1", "A2", "A3"], by=BEN)
    assert "whoever torqued the joint does not check it" in log.state.open
    log.check(["B1"])
    assert log.state.complete


def test_a_tick_without_bolts_is_no_check():
    log = done()
    log.entries.pop()
    log.add("F10", "joint 2", KIT, data={"wrench": "W-07"})
    assert not log.state.complete


def test_a_bolt_torqued_after_the_check_was_not_seen_by_it():
    log = done()
    log.bolt("A1")
    assert not log.state.complete
    log.check(["A1"])
    assert log.state.complete


def test_a_failed_bolt_reopens_the_joint_until_all_are_inspected_again():
    log = done()
    log.bolt("B2", number=None, failed=True)
    assert log.state.failed == ("B2",)
    log.bolt("B2")
    assert log.state.failed == ("B2",), "the same bolt again: it stays failed until it is new"
    log.new_bolt("B2")
    log.bolt("B2")
    assert log.state.torqued == 6
    log.check(["A1", "B2"])
    assert not log.state.complete, "two of six are not all"
    log.check("all")
    assert log.state.complete


def test_an_inspection_before_the_new_bolt_does_not_count_for_it():
    log = done()
    log.bolt("B2", number=None, failed=True)
    log.check("all")
    log.new_bolt("B2")
    log.bolt("B2")
    assert not log.state.complete


def test_a_new_bolt_starts_at_snug_and_skips_no_pass_of_its_joint():
    log = done()
    log.bolt("B2", number=None, failed=True)
    log.bolt("B2", number=None, new_bolt=True)
    assert log.state.next == (1, "B2")
    log.bolt("B2")
    log.check("all")
    assert log.state.open == ("pass 1 (snug) 1 of 6 to go", "pass 2 (185 ft-lb) 1 of 6 to go")
    log.early_of("B2")
    assert log.state.complete, log.state.open


def test_a_bolt_that_moves_under_the_check_is_torqued_again_and_all_are_checked():
    log = done()
    log.check(["A1"], failed=["A1"])
    assert log.state.next == (3, "A1")
    log.bolt("A1")
    log.check(["A1", "A2"])
    assert not log.state.complete
    log.check("all")
    assert log.state.complete


def test_torque_with_a_wrench_out_of_calibration_is_kept_but_not_counted():
    log = done()
    log.bolt("A2", wrench="W-02")
    state = log.state
    assert next(b for b in state.bolts if b.bolt == "A2").last == DOUBTED
    assert state.open[0] == "wrench W-02 was not in calibration (A2)"
    log.bolt("A2")
    log.check("all")
    assert log.state.complete


def test_an_unknown_wrench_no_wrench_and_another_torque_do_not_count():
    for fields in ({"wrench": "W-99"}, {"wrench": ""}, {"number": 240.0}, {"number": 300.0}):
        log = done()
        log.bolt("A2", **fields)
        assert not log.state.complete, fields


def test_a_check_with_a_wrench_out_of_calibration_does_not_count():
    log = done()
    log.entries.pop()
    log.check("all", wrench="W-02")
    assert "check: wrench W-02 was not in calibration" in log.state.open


def test_a_correction_takes_back_what_it_corrects():
    log = done()
    wrong = log.bolt("A3", number=None, failed=True)
    log.add("F09", "joint 2 pass 3 bolt A3", number=265.0, data={"wrench": "W-07"}, corrects=wrong)
    assert log.state.failed == ()
    log.check(["A3"])
    assert log.state.complete


def test_what_names_no_bolt_of_the_plan_changes_nothing():
    log = done()
    for subject in (
        "joint 9 pass 3 bolt A1",
        "joint 2 pass 4 bolt A1",
        "joint 2 pass 3 bolt Z9",
        "",
        "tower",
    ):
        log.add("F09", subject, data={"failed": True})
    log.add("F09", "joint 2 pass 3 bolt A1", data={"cannot": True})
    log.add("F10", "joint 2", KIT, data={"bolts": [["A1"], 7, None], "wrench": ["W-07"]})
    log.add("F10", "joint 2", KIT, data={"bolts": ["A1", "A2"], "wrench": "W-07"})
    assert log.state.complete


def test_turn_of_nut_needs_no_wrench():
    joint = JointFacts(
        number=2,
        at_ft=40.0,
        legs=("A", "B"),
        bolts_per_leg=3,
        size="3/4",
        grade="A325",
        tightening="turn of nut",
        passes=passes(1.0, "snug")[:1] * 2,
    )
    log = Log()
    log.add("F07", "joint 2 pass 1")
    for bolt in joint.bolts:
        log.add("F09", f"joint 2 pass 2 bolt {bolt}")
    log.add("F10", "joint 2", KIT, data={"bolts": ["A1", "A2"]})
    state = torque_state(log.entries, [joint], {}, lambda e: e.taken_at.date()).joints[0]
    assert state.complete, state.open


ACTIONS = st.lists(
    st.tuples(
        st.sampled_from(["torqued", "failed", "new", "check", "early", "old wrench"]),
        st.sampled_from(JOINT.bolts),
        st.sampled_from([BEN, KIT]),
    ),
    max_size=40,
)


@settings(deadline=None)
@given(ACTIONS)
def test_no_order_of_entries_completes_a_joint_with_an_open_bolt(actions):
    """Complete means: every pass of every bolt torqued, and enough bolts checked by another hand."""
    log = done()
    for what, bolt, who in actions:
        if what == "check":
            log.check([bolt], by=who)
        elif what == "early":
            log.early(failed=[bolt])
        elif what == "new":
            log.bolt(bolt, who, None, new_bolt=True)
        else:
            log.bolt(bolt, who, failed=what == "failed", wrench="W-02" if what == "old wrench" else "W-07")
    state = log.state
    spoken = {w for b in state.bolts for w in b.passes}
    assert spoken <= {TO_DO, TORQUED, FAILED, DOUBTED}
    if state.complete:
        assert spoken == {TORQUED}
        torquers = {b.last_entry.person_id for b in state.bolts}
        assert state.checked_by
        ever_failed = any(what == "failed" or what == "early" for what, _, _ in actions)
        assert not ever_failed or state.to_check == len(JOINT.bolts)
        assert all(not b.last_entry.data.get("failed") for b in state.bolts)
        assert torquers
    else:
        assert state.open
