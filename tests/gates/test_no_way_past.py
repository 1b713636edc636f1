"""Random actions, corrections and clock changes find no way past a gate, and no fact is refused.

The model keeps its own account of what each gate asks and compares: a phase starts by permission only
while its gate is open, work recorded through a closed gate leaves a deviation, every entry sent is kept.
"""

from __future__ import annotations

import uuid
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from installs.checklists.models import Item
from installs.checklists.services import chain_faults, copy_lists
from installs.checklists.taking import take_entry
from installs.gates.facts import facts_of
from installs.gates.rules import gate
from installs.gates.services import finish_phase, gate_now, start_phase
from installs.inspection.models import Inspection
from installs.inspection.services import record_inspection
from installs.jobs.phases import STARTABLE, gate_of
from installs.jobs.sealing import chain_faults as log_faults
from installs.permits.models import Permit
from installs.permits.services import record_permit
from installs.pour.models import StrengthNotice
from installs.pour.services import record_notice
from tests.make import AT, make_job, make_person, make_release

PERMITS = ("building", "locate", "electrical", "utility test", "utility operation")
INSPECTIONS = ("footing", "rough-in", "electrical", "concrete acceptance")
CODES = (
    "B07", "C16", "D03", "D02", "D14", "E03", "E08", "E10", "E11", "F09", "F10", "F15",
    "H16", "H21", "I03", "I06", "J04", "J07", "A08",
)  # fmt: skip

# "make prove" goes on to the whole depth
RUNS = 500 if settings.get_current_profile_name() == "prove" else 25


class GateMachine(RuleBasedStateMachine):
    @initialize()
    def a_new_job(self):
        self.person, self.engineer = make_person(), make_person("Rhoda Kell, PE", "engineer")
        self.job = make_job()
        copy_lists(self.job, by=self.person, at=AT)
        self.at = AT
        # a released foundation, so that digging and pouring can have permission
        passes = {"key": "bearing", "title": "Bearing", "verdict": "passes"}
        make_release(self.job, "foundation", by=self.person, checks=[passes])
        self.sent: set[uuid.UUID] = set()
        self.by_permission: set[str] = set()

    @rule(hours=st.integers(1, 24 * 40))
    def time_passes(self, hours):
        self.at += timedelta(hours=hours)

    @rule(key=st.sampled_from(STARTABLE))
    def ask_to_start(self, key):
        gate_key = gate_of(key)
        was_open = gate_key is None or gate_now(self.job, gate_key, self.at).open
        already = self.job.phases.filter(key=key).exists()
        try:
            start_phase(self.job, key, by=self.person, at=self.at)
        except ValidationError:
            return
        if not already:
            assert was_open, f"{key} started through its closed gate"
            self.by_permission.add(key)

    @rule(key=st.sampled_from(STARTABLE))
    def ask_to_finish(self, key):
        try:
            finish_phase(self.job, key, by=self.person, at=self.at)
        except ValidationError:
            return
        assert self.job.phases.filter(key=key).exists()

    @rule(
        code=st.sampled_from(CODES),
        number=st.one_of(st.none(), st.floats(-40, 200)),
        subject=st.sampled_from(("", "truck 1", "core", "joint 1 pass 3 bolt A1", "joint 1")),
        days_off=st.sampled_from((-400, -2, 0, 2, 400)),
        cannot=st.booleans(),
    )
    def record(self, code, number, subject, days_off, cannot):
        """The phone's clock may be off by days; the fact is taken; a closed gate leaves a deviation."""
        one = uuid.uuid4()
        key = Item.objects.get(list__job=self.job, code=code).gate
        begins = bool(key) and not cannot and not self.job.phases.filter(key=key).exists()
        was_open = begins and gate_now(self.job, key, self.at).open
        noted = self.job.deviations.filter(gate=key).count() if key else 0
        taken = take_entry(
            self.job,
            by=self.person,
            received_at=self.at,
            taken_at=self.at + timedelta(days=days_off),
            uuid=one,
            code=code,
            subject=subject,
            number=number,
            data={"cannot": True} if cannot else {},
            from_phone=True,
        )
        assert taken.new
        self.sent.add(one)
        if begins and not taken.entry.unreadable:
            assert self.job.phases.filter(key=key).exists(), (
                "work was recorded, its phase is not on record as begun"
            )
            assert self.job.deviations.filter(gate=key).count() == noted + (0 if was_open else 1)

    @rule(data=st.data(), number=st.floats(-40, 200))
    def correct(self, data, number):
        entries = list(self.job.entries.all())
        if not entries:
            return
        wrong = data.draw(st.sampled_from(entries))
        one = uuid.uuid4()
        take_entry(self.job, by=self.person, received_at=self.at, taken_at=self.at, uuid=one, code=wrong.code,
                   subject=wrong.subject, number=number, corrects=wrong.uuid, from_phone=True)  # fmt: skip
        self.sent.add(one)

    @rule(kind=st.sampled_from(PERMITS), granted=st.booleans(), days=st.integers(0, 30))
    def permit(self, kind, granted, days):
        day = self.at.date()
        line = Permit(kind=kind, asked_of="somebody", asked_on=day, number="N-1",
                      granted_on=day if granted else None,
                      expires_on=day + timedelta(days=days) if kind == "locate" else None)  # fmt: skip
        record_permit(self.job, line, [], by=self.person, at=self.at)

    @rule(kind=st.sampled_from(INSPECTIONS), passed=st.booleans(), engineer=st.booleans())
    def inspection(self, kind, passed, engineer):
        """The concrete's acceptance is an engineer's: anybody else's is sent back, and opens nothing."""
        visit = Inspection(
            kind=kind, inspector="D. A.", inspected_on=self.at.date(), passed=passed, number="I-1"
        )
        by = self.engineer if engineer else self.person
        if kind == "concrete acceptance" and passed and not engineer:
            with pytest.raises(ValidationError):
                record_inspection(self.job, visit, by=by, at=self.at)
        else:
            record_inspection(self.job, visit, by=by, at=self.at)

    @rule(cure=st.sampled_from(("field", "lab")), psi=st.floats(500, 9000))
    def notice(self, cure, psi):
        # the very same paper twice is refused by its own rule: each notice here is of other cylinders
        n = 3 * self.job.strength_notices.count()
        cylinders = [{"mark": f"F{n + i}", "psi": psi} for i in (1, 2, 3)]
        notice = StrengthNotice(cure=cure, age_days=28.0, diameter_in=4, cylinders=cylinders, signer="M. T.",
                                firm="Lab", written_on=self.at.date())  # fmt: skip
        record_notice(self.job, notice, by=self.person, at=self.at)

    @invariant()
    def no_fact_was_refused_or_lost(self):
        assert set(self.job.entries.values_list("uuid", flat=True)) == self.sent
        assert chain_faults(self.job) == []
        assert log_faults(self.job) == []

    @invariant()
    def lifts_never_open_here(self):
        """No tower is released, no lift plan signed: nothing that this machine does may open a lift."""
        facts, today = facts_of(self.job, self.at), self.job.local(self.at).date()
        for key in ("tower lift", "turbine lift"):
            assert not gate(key, facts, today, today=today).open


class TestNoWayPast(TestCase):
    """Runs the machine inside a transaction of its own for each run of actions."""

    @pytest.mark.slow
    @pytest.mark.deep
    def test_random_actions_find_no_way_past_a_gate(self):
        from hypothesis.stateful import run_state_machine_as_test

        run_state_machine_as_test(
            GateMachine,
            settings=settings(
                max_examples=RUNS,
                stateful_step_count=14,
                deadline=None,
                suppress_health_check=list(HealthCheck),
            ),
        )
