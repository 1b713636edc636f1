"""One joint of the paper torque log keyed in: every line in the paper's order, each with its own time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django import forms
from django.utils import timezone

from installs.checklists.key_in import Written
from installs.checklists.paper_line import writers
from installs.equipment.models import Wrench
from installs.jobs.models import Job
from installs.people.models import User
from installs.tower.joint_lines import (
    BoltMark,
    CheckLine,
    JointHead,
    OwnLine,
    PassLine,
    TorqueLine,
    WrenchField,
)
from installs.tower.torque import CHECK_LINES, OWN_LINES, JointState
from installs.typed import field_as


@dataclass(frozen=True)
class Above:
    """What stands for an empty field: of the line above, from the head downward."""

    on: date
    wrench: str
    who: User


class JointSheet:
    """The head and every line of a joint, bound to what was typed or empty."""

    def __init__(
        self, job: Job, state: JointState, user: User, typed: Any = None, initial: Any = None
    ) -> None:
        self.job, self.state, joint = job, state, state.joint
        self.people = writers(job, user)
        self.wrenches = list(Wrench.objects.filter(archived_on=None).values_list("serial", "name"))
        self.head = JointHead(typed, job=job, people=self.people, initial=initial)
        common: dict[str, Any] = {"joint": joint, "people": self.people}
        self.passes = [
            PassLine(typed, prefix=f"pass-{p.number}", step=p, recorded=state.recorded(p.number), **common)
            for p in joint.passes
        ]
        self.own = [
            OwnLine(typed, prefix=f"own-{n}", called=f"bolt line {n}", **common)
            for n in range(1, OWN_LINES + 1)
        ]
        self.checks = [
            CheckLine(typed, prefix=f"check-{n}", called=f"check {n}", **common)
            for n in range(1, CHECK_LINES + 1)
        ]
        self.marks = self.passes[-1].marks
        self._know_wrenches()
        self.filled = [line for line in self._lines() if line.is_bound and line.filled]

    def _lines(self) -> list[TorqueLine]:
        return [*self.passes, *self.own, *self.checks]

    def _know_wrenches(self) -> None:
        known = {serial.casefold(): serial for serial in Wrench.objects.values_list("serial", flat=True)}
        for form in (self.head, *self._lines()):
            field_as(form, "wrench", WrenchField).known = known

    @property
    def panels(self) -> list[tuple[str, Sequence[BoltMark]]]:
        """The bolts by leg as they are drawn on the paper; a tube's flange is one panel."""
        joint = self.state.joint
        if not joint.legs:
            return [("Flange, clockwise from the door", self.marks)]
        return [(f"Leg {leg}", [m for m in self.marks if m.bolt.startswith(leg)]) for leg in joint.legs]

    def is_valid(self) -> bool:
        """Asks every part, so that all faults are said at once."""
        for form in self._forms():
            form.is_valid()
        if self.head.is_valid():
            if not self.filled:
                self.head.add_error(None, "No line is filled in.")
            self._judge()
        return self.head.is_valid() and not self.faulty

    def _forms(self) -> Iterator[forms.Form]:
        for line in self.filled:
            yield line
            yield from (mark for mark in line.marks if mark.filled)

    def _judge(self) -> None:
        """What a line alone does not know: the wrench above it, the day, the other lines of its bolt."""
        taken: set[tuple[str, datetime]] = set()
        for line, above in self._carried():
            if line.needs_wrench and not above.wrench:
                line.add_error("wrench", "Which wrench? If the paper does not say: unknown.")
            for one in self._of_line(line, above):
                place = (one.fields["subject"], one.taken_at)
                if one.taken_at > timezone.now():
                    one.form.add_error("clock", "This time has not come yet.")
                elif place in taken:
                    one.form.add_error("clock", "Another line has this bolt at this time: give each its own.")
                taken.add(place)

    def _carried(self) -> Iterator[tuple[TorqueLine, Above]]:
        head = self.head.cleaned_data
        on, wrench, who = head["on"], head["wrench"], self.people[head["by"]]
        for line in self.filled:
            said = line.cleaned_data
            on, wrench = said.get("on") or on, said.get("wrench") or wrench
            who = self.people.get(said.get("who", ""), who)
            yield line, Above(on, wrench, who)

    def _of_line(self, line: TorqueLine, above: Above) -> list[Written]:
        """The entries of a line; none while something is wrong with it."""
        if line.errors or any(mark.errors for mark in line.marks if mark.filled):
            return []
        from_paper = {"from_paper": True, "by": above.who.pk}
        return [
            Written(
                form,
                datetime.combine(above.on, clock, tzinfo=self.job.tz),
                above.who,
                {**fields, "data": {**fields["data"], **from_paper}},
            )
            for form, clock, fields in line.records(above.wrench)
        ]

    def written(self) -> list[Written]:
        return [one for line, above in self._carried() for one in self._of_line(line, above)]

    @property
    def faulty(self) -> list[forms.Form]:
        return [form for form in self._forms() if form.errors]
