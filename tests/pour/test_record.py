"""From entries to state: trucks, temperatures, logger files, notices, releases, deviations."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext

from installs.checklists.services import chain_faults
from installs.checklists.taking import take_entry
from installs.gates.services import gate_now
from installs.pour.models import StrengthNotice
from installs.pour.record_words import load_record
from installs.pour.review import load_cures, pour_facts
from installs.pour.services import (
    import_log,
    record_notice,
    record_temperature,
    record_truck,
    release_early,
    withdraw_release,
)
from sitecalc.pour.logger import parse_log
from tests.make import make_job
from tests.pour.conftest import POUR, log_csv, ticket

pytestmark = pytest.mark.django_db
HOW = {"unit": "F", "clock": "site", "sure": False}


def keep_log(job, content: bytes, by, at: datetime, name: str = "edge.csv"):
    log = parse_log(content.decode(), zone=job.zone)
    return import_log(job, content, log, HOW, name, by=by, at=at)


def keep_notice(job, by, at: datetime, *psi: float, cure: str = "field", age: float = 14, **more):
    rows = [{"mark": f"F{i}", "psi": float(p)} for i, p in enumerate(psi)]
    written = job.local(POUR).date() + timedelta(days=round(age))
    made = StrengthNotice(
        cure=cure, age_days=age, diameter_in=4, cylinders=rows, signer="T. Orme", firm="Sorrel Testing",
        written_on=written, **more,
    )  # fmt: skip
    return record_notice(job, made, by=by, at=at)


def state(job, at: datetime):
    return load_cures([job], at)[job.pk]


def finish(job, foreman, at: datetime) -> None:
    take_entry(job, by=foreman, received_at=at, taken_at=at, code="E10", number=96.0, subject="lift 1")
    take_entry(job, by=foreman, received_at=at, taken_at=at, code="E11", number=0.05, subject="leg 1")


def test_the_gate_opens_by_days_notice_backfill_and_survey_and_not_before(poured, office, foreman):
    at = POUR + timedelta(days=29)
    assert state(poured, at).missing[0] == "0.0 of 28 curing days"
    keep_log(poured, log_csv([60.0] * 24 * 29), foreman, at)
    assert state(poured, at).curing_days == 28
    keep_notice(poured, office, at, 3400, 3500, 3600, age=21)
    finish(poured, foreman, at)
    assert state(poured, at).ready
    closed = gate_now(poured, "tower lift", at)
    assert not any("cur" in words or "strength" in words for words in closed.missing)


def test_a_job_of_which_nothing_is_known_is_not_ready(job):
    found = state(job, POUR)
    assert not found.ready
    assert found.poured_on is None
    assert "no pour recorded" in found.missing


def test_a_correction_made_later_does_not_move_the_day_of_the_pour(poured, foreman):
    changed = ticket(4, slump=4.0, why="read on the wrong side of the rod")
    record_truck(poured, changed, by=foreman, at=POUR + timedelta(days=3))
    facts = pour_facts(poured, POUR + timedelta(days=4))
    assert facts.log.poured_on == date(2031, 4, 24)
    assert facts.log.trucks[3].figure("D03") == 4.0
    line = next(
        x for x in load_record(poured, POUR + timedelta(days=4)).tickets[3].lines if x.title == "Slump"
    )
    assert (line.struck, line.why) == ("4.5 in", "read on the wrong side of the rod")


def test_a_truck_on_record_is_not_changed_without_a_reason(poured, foreman):
    before = poured.entries.count()
    with pytest.raises(ValidationError, match="Say why"):
        record_truck(poured, ticket(4, slump=3.0), by=foreman, at=POUR + timedelta(hours=8))
    assert poured.entries.count() == before


def test_the_same_ticket_again_adds_nothing(poured, foreman):
    before = poured.entries.count()
    assert record_truck(poured, ticket(4), by=foreman, at=POUR + timedelta(hours=8)) == []
    assert poured.entries.count() == before


def test_a_refused_truck_pours_nothing_and_leaves_no_deviation(job, released, foreman):
    refused = ticket(1, air=8.9, refused=True, discharged=None, why="air over the limit")
    record_truck(job, refused, by=foreman, at=POUR)
    facts = pour_facts(job, POUR)
    assert facts.log.yards == 0
    assert facts.log.poured_on is None
    assert not [d for d in job.deviations.all() if "over a limit" in d.title]
    assert load_record(job, POUR).tickets[0].state.startswith("rejected")


def test_a_truck_discharged_over_its_limit_leaves_one_deviation(job, released, foreman):
    record_truck(job, ticket(1, air=8.9), by=foreman, at=POUR)
    (deviation,) = [d for d in job.deviations.all() if "over a limit" in d.title]
    assert "8.9 %" in deviation.what
    record_truck(job, ticket(1, air=8.8, why="read again"), by=foreman, at=POUR)
    assert sum("over a limit" in d.title for d in job.deviations.all()) == 1


def test_a_frozen_night_in_a_logger_file_leaves_a_deviation(poured, foreman):
    temps = [60.0] * 72 + [30.0] * 5 + [60.0] * 24
    entry = keep_log(poured, log_csv(temps), foreman, POUR + timedelta(days=6))
    (deviation,) = entry.deviations.all()
    assert deviation.title.startswith("edge frozen on Apr 2")


def by_hand(job, foreman, at):
    fields = {"sensor": "edge", "taken": POUR + timedelta(days=3, hours=1), "temp": 29.0, "unit": "F"}
    return record_temperature(job, fields, by=foreman, at=at)


def by_logger(job, foreman, at):
    return keep_log(job, log_csv([60.0] * 65 + [29.0] * 5 + [60.0] * 24), foreman, at)


@pytest.mark.parametrize("told", [by_hand, by_logger])
def test_a_deviation_is_dated_when_we_came_to_know_and_says_when_it_happened(poured, foreman, told):
    """Poured on Apr 24; frozen in the night to Apr 27; nobody told the office before Apr 30."""
    at = POUR + timedelta(days=6)
    told(poured, foreman, at)
    (deviation,) = poured.deviations.filter(title__contains="frozen")
    assert deviation.opened_at == at
    assert "Apr 27" in deviation.title
    event = poured.events.get(verb="deviation opened", what__contains="frozen")
    assert event.at == at


def test_readings_by_hand_and_by_logger_stand_side_by_side(poured, foreman):
    at = POUR + timedelta(days=4)
    keep_log(poured, log_csv([60.0] * 24 * 4), foreman, at)
    for hour in (28, 32, 36):  # 1 PM to 9 PM of the day after the pour
        taken = POUR + timedelta(hours=hour)
        fields = {"sensor": "top", "taken": taken, "temp": 5.0, "unit": "C"}
        record_temperature(poured, fields, by=foreman, at=at)
    found = pour_facts(poured, at)
    told = found.log.temperatures.concrete
    assert set(told) == {"edge", "top"}
    assert told["top"].temp_f[0] == 41
    days = load_record(poured, at).cure.log.days
    assert [round(d.worth, 2) for d in days] == [0.5, 1, 1]


def test_the_same_file_twice_is_refused(poured, foreman):
    content = log_csv([60.0] * 48)
    keep_log(poured, content, foreman, POUR + timedelta(days=3))
    with pytest.raises(ValidationError, match="on record already"):
        keep_log(poured, content, foreman, POUR + timedelta(days=3))


def test_a_file_lost_from_the_storage_counts_nothing_and_says_so(poured, foreman, settings, tmp_path):
    import shutil

    from installs.pour.temperatures import logger_log

    at = POUR + timedelta(days=10)
    keep_log(poured, log_csv([60.0] * 24 * 9), foreman, at)
    shutil.rmtree(tmp_path / "files")
    logger_log.cache_clear()
    found = pour_facts(poured, at)
    assert "counts nothing" in found.log.faults[0] or "count nothing" in found.log.faults[0]
    assert state(poured, at).curing_days == 0


@pytest.mark.parametrize(("code", "number", "field"), [("E10", 93.0, "backfilled"), ("E11", 0.3, "surveyed")])
def test_out_of_tolerance_is_not_recorded_as_done(poured, foreman, code, number, field):
    at = POUR + timedelta(days=5)
    take_entry(poured, by=foreman, received_at=at, taken_at=at, code=code, number=number, subject="leg 2")
    assert not getattr(state(poured, at), field)
    take_entry(
        poured,
        by=foreman,
        received_at=at,
        taken_at=at,
        code=code,
        number=96.0 if code == "E10" else 0.1,
        subject="leg 1",
    )
    assert not getattr(state(poured, at), field), "leg 2 is still out of tolerance"
    take_entry(
        poured,
        by=foreman,
        received_at=at,
        taken_at=at,
        code=code,
        number=96.0 if code == "E10" else 0.1,
        subject="leg 2",
    )
    assert getattr(state(poured, at), field)


def test_early_release_by_the_engineer_or_with_the_letter(poured, office, engineer):
    at = POUR + timedelta(days=10)
    with pytest.raises(ValidationError, match="letter"):
        release_early(poured, engineer, "Low winds.", by=office, at=at)
    with pytest.raises(ValidationError, match="engineer"):
        release_early(poured, office, "Low winds.", by=office, at=at)
    release = release_early(poured, engineer, "Low winds.", by=engineer, at=at)
    assert "Rhoda Kell" in state(poured, at).early_release
    assert not any("curing days" in words for words in state(poured, at).missing)
    withdraw_release(release, "The edge froze.", by=engineer, at=at)
    assert state(poured, at).early_release is None
    assert any("curing days" in words for words in state(poured, at).missing)


def test_a_corrected_notice_no_longer_stands(poured, office):
    at = POUR + timedelta(days=22)
    wrong = keep_notice(poured, office, at, 4400, 4500, 4600)
    assert state(poured, at).strength_psi == 4500
    keep_notice(poured, office, at, 3000, 3000, 3000, corrects=wrong)
    assert state(poured, at).strength_psi == 3000


def test_a_notice_recorded_later_is_not_known_before(poured, office):
    at = POUR + timedelta(days=22)
    keep_notice(poured, office, at, 3400, 3400, 3400)
    assert state(poured, at - timedelta(hours=1)).strength_psi is None


def test_the_state_follows_every_change_of_the_record(poured, office, foreman):
    """States are kept between questions; a new entry, notice or release makes them new."""
    at = POUR + timedelta(days=3)
    first = state(poured, at)
    assert state(poured, at) == first
    keep_log(poured, log_csv([60.0] * 24 * 3), foreman, at)
    assert state(poured, at).curing_days > first.curing_days
    assert state(poured, at + timedelta(days=1)).curing_days >= state(poured, at).curing_days


def test_the_number_of_queries_does_not_grow_with_the_jobs(poured, office, foreman):
    keep_log(poured, log_csv([60.0] * 48), foreman, POUR + timedelta(days=3))
    others = [make_job(by=office) for _ in range(8)]
    counts = []
    for jobs in ([poured], [poured, *others]):
        with CaptureQueriesContext(connection) as asked:
            load_cures(jobs, POUR + timedelta(days=3))
        counts.append(len(asked))
    assert counts[1] <= max(counts[0], 6)


def test_the_field_record_stays_a_whole_chain(poured, foreman):
    keep_log(poured, log_csv([60.0] * 48), foreman, POUR + timedelta(days=3))
    assert chain_faults(poured) == []


def test_what_was_ready_stays_ready_on_later_days_and_not_on_earlier_ones(poured, office, foreman):
    at = POUR + timedelta(days=29)
    keep_log(poured, log_csv([60.0] * 24 * 29), foreman, at)
    keep_notice(poured, office, at, 3400, 3500, 3600, age=21)
    finish(poured, foreman, at)
    assert state(poured, at).ready
    assert state(poured, at + timedelta(days=200)).ready
    assert not state(poured, at - timedelta(hours=1)).ready, "an hour before it was recorded"


def test_what_the_sensor_read_before_the_pour_is_no_frozen_concrete(poured, foreman):
    """The sensor is tied to the steel in the morning frost; the concrete comes at nine."""
    at = POUR + timedelta(days=9)
    before = log_csv([25.0] * 4 + [60.0] * 24 * 8, start=POUR - timedelta(hours=4))
    entry = keep_log(poured, before, foreman, at)
    assert not entry.deviations.exists()
    kept = next(c for c in load_record(poured, at).cure.checks if c.key == "kept warm")
    assert kept.passes


def test_what_is_sent_twice_is_recorded_once(poured, office, foreman):
    at = POUR + timedelta(days=22)
    keep_notice(poured, office, at, 3400, 3500, 3600)
    with pytest.raises(ValidationError, match="on record already"):
        keep_notice(poured, office, at, 3400, 3500, 3600)
    fields = {"sensor": "top", "taken": POUR + timedelta(hours=30), "temp": 55.0, "unit": "F"}
    record_temperature(poured, fields, by=foreman, at=at)
    with pytest.raises(ValidationError, match="on record already"):
        record_temperature(poured, fields, by=foreman, at=at)


def test_a_reading_taken_back_makes_nothing_older(poured, foreman):
    """A cold hour is crossed out with nothing in its place: days and age stay as with it."""
    at = POUR + timedelta(days=4)
    for hour in range(6, 96, 3):
        temp = 12.0 if hour == 42 else 60.0
        fields = {"sensor": "edge", "taken": POUR + timedelta(hours=hour), "temp": temp, "unit": "F"}
        record_temperature(poured, fields, by=foreman, at=at)
    before = load_record(poured, at).cure
    cold = poured.entries.get(code="E03", number=12.0)
    take_entry(
        poured, by=foreman, received_at=at, taken_at=cold.taken_at, code="E03", subject="edge",
        corrects=cold.uuid, text="sensor was loose", data={"cannot": True},
    )  # fmt: skip
    after = load_record(poured, at)
    assert after.cure.state.curing_days <= before.state.curing_days
    assert after.cure.age_days <= before.age_days + 1e-9
    assert any("taken back" in words for words in after.facts.log.faults)


def test_a_reading_put_right_counts_as_it_is_now(poured, foreman):
    at = POUR + timedelta(days=3)
    for hour in range(6, 72, 6):
        temp = 16.0 if hour == 36 else 61.0
        fields = {"sensor": "edge", "taken": POUR + timedelta(hours=hour), "temp": temp, "unit": "F"}
        record_temperature(poured, fields, by=foreman, at=at)
    wrong = poured.entries.get(code="E03", number=16.0)
    take_entry(
        poured, by=foreman, received_at=at, taken_at=wrong.taken_at, code="E03", subject="edge", number=61.0,
        unit="F", corrects=wrong.uuid, text="16 was Celsius",
    )  # fmt: skip
    log = load_record(poured, at).cure.log
    assert [d.mean_f for d in log.days[:1]] == [61.0]
    assert not any("taken back" in words for words in load_record(poured, at).facts.log.faults)
