"""A paper torque log among the phones' entries: whose hand it was, and when, however late it is keyed in."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from installs.people.models import User
from installs.tower.torque_log import torque_state
from tests.tower.test_torque_log import BEN, JOINT, KIT, NOON, WRENCHES, Log

ALMA = User(pk=3, full_name="Alma Reyes")


class Papers(Log):
    """The log of the phones and of papers that Alma keys in; ``at`` is the minute after noon."""

    def paper(self, code: str, subject: str, hand: object, at: int, **fields) -> None:
        said = {"from_paper": True, "by": getattr(hand, "pk", hand), "wrench": "W-07"}
        data = {**said, **fields.pop("data", {})}
        self.add(code, subject, ALMA, data=data, **fields).taken_at = minute(at)

    def paper_torque(self, hand: object = BEN, at: int = 1, bolts=JOINT.bolts) -> None:
        self.paper("F07", "joint 2 pass 1", hand, at)
        self.paper("F08", "joint 2 pass 2", hand, at)
        for bolt in bolts:
            self.paper("F09", f"joint 2 pass 3 bolt {bolt}", hand, at, number=265.0)

    def paper_check(self, hand: object = KIT, at: int = 30, bolts=("A1", "B2")) -> None:
        self.paper("F10", "joint 2", hand, at, data={"bolts": list(bolts)})

    @property
    def state(self):
        people = {person.pk: person for person in (BEN, KIT, ALMA)}
        day_of = lambda e: e.taken_at.date()  # noqa: E731
        return torque_state(self.entries, [JOINT], WRENCHES, day_of, people=people).joints[0]


def minute(at: int) -> datetime:
    return NOON + timedelta(minutes=at)


def test_one_clerk_keys_in_torque_and_check_of_two_persons_and_both_count():
    log = Papers()
    log.paper_torque()
    log.paper_check()
    assert log.state.complete, log.state.open
    assert log.state.checked_by == (KIT,)
    assert log.state.keyed_in_by == (ALMA,)


def test_a_check_written_by_who_torqued_does_not_count_whoever_keys_it_in():
    on_paper, on_phone = Papers(), Papers()
    on_paper.paper_torque()
    on_phone.early()
    on_phone.all_bolts()
    for log in (on_paper, on_phone):
        log.paper_check(BEN)
        assert not log.state.complete
        assert "whoever torqued the joint does not check it" in log.state.open


def test_who_only_keyed_in_the_torque_may_check_the_joint():
    log = Papers()
    log.paper_torque()
    log.check(["A1", "B2"], by=ALMA)
    assert log.state.complete


@pytest.mark.parametrize("hand", [True, "2", -1, 10**30, [2]])
def test_a_line_whose_hand_cannot_be_read_keeps_its_joint_open(hand):
    log = Papers()
    log.paper_torque()
    log.paper_check(hand)
    assert not log.state.complete
    assert "cannot be read: by" in log.state.open[0]
    log.paper_check(BEN)
    assert "cannot be read" not in log.state.open[0]


@pytest.mark.parametrize("hand", [None, 99])
def test_a_hand_that_is_not_known_is_no_second_person(hand):
    checked, torqued = Papers(), Papers()
    checked.paper_torque()
    checked.paper_check(hand)
    assert "who checked the joint by the paper is not known" in checked.state.open
    torqued.paper_torque(hand)
    torqued.paper_check()
    assert "who torqued the joint by the paper is not known" in torqued.state.open


def test_a_phone_cannot_check_in_the_name_of_another():
    log = Papers()
    log.early()
    log.all_bolts()
    log.check(["A1", "B2"], by=BEN)
    log.entries[-1].data["by"] = KIT.pk
    assert "whoever torqued the joint does not check it" in log.state.open


def test_a_paper_of_the_morning_does_not_make_good_what_failed_in_the_afternoon():
    log = Papers()
    log.early()
    log.all_bolts()
    log.bolt("B2", number=None, failed=True)
    log.entries[-1].taken_at = minute(300)
    log.paper("F09", "joint 2 pass 3 bolt B2", BEN, 60, data={"new_bolt": True})
    log.paper("F09", "joint 2 pass 3 bolt B2", BEN, 70, number=265.0)
    assert log.state.failed == ("B2",)
    log.paper("F09", "joint 2 pass 3 bolt B2", BEN, 310, data={"new_bolt": True})
    assert log.state.failed == ()


def test_a_check_on_the_phone_counts_for_the_torque_before_it_that_is_keyed_in_later():
    log = Papers()
    log.check(["A1", "B2"])
    log.entries[-1].taken_at = minute(60)
    log.paper_torque(at=10)
    assert log.state.complete, log.state.open


def test_a_check_on_paper_has_not_seen_what_a_phone_torqued_after_it():
    log = Papers()
    log.paper_torque(at=1)
    log.bolt("A1")
    log.entries[-1].taken_at = minute(60)
    log.paper_check(at=30)
    assert not log.state.complete
    log.paper_check(at=61)
    assert log.state.complete


def test_the_phones_clock_is_set_right_before_paper_and_phone_are_put_in_order():
    log = Papers()
    log.paper_torque(at=10)
    log.check(["A1", "B2"])
    log.entries[-1].taken_at, log.entries[-1].skew_s = minute(60), 3600.0
    assert not log.state.complete, "by our clock it was checked before it was torqued"
