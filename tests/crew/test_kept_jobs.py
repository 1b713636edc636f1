"""The state of a job is kept in the process: never older than what it stands on, and for that job alone."""

from __future__ import annotations

import re
import threading
from datetime import timedelta

import pytest
from django.apps import apps
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from crew.cranes.services import book
from crew.morning import office
from crew.morning.look_ahead import lines
from crew.morning.office import SHARED, load_morning
from crew.plan.issuing import issue_plan
from crew.plan.models import Absence, CraneBooking, Crew, CrewDay
from crew.plan.services import add_day, close_site, move_day, strike_day
from installs.checklists.models import Device
from installs.checklists.services import copy_lists
from installs.checklists.taking import take_entry
from installs.equipment.models import Crane
from installs.gates.services import finish_phase, start_phase
from installs.inspection.models import Inspection
from installs.inspection.services import record_inspection
from installs.jobs.kept import Kept, job_versions, version
from installs.jobs.models import Job
from installs.jobs.services import add_member, answer_deviation, archive_job, change_job, open_deviation
from installs.lift.review import review
from installs.people.models import Certificate
from installs.permits.models import Permit
from installs.permits.services import record_permit
from tests.lift.kit import make_kit
from tests.make import alma, make_card, make_job, make_person, make_release

pytestmark = pytest.mark.django_db

# Tables of one job: whatever writes to them leaves an event, an entry or a crew day in the same transaction.
OF_A_JOB = {
    "installs.Job", "installs.Member", "installs.PhaseState", "installs.Permit", "installs.Inspection",
    "installs.JobList", "installs.Item", "installs.Entry", "installs.Deviation", "installs.DeviationAnswer",
    "installs.DesignRevision", "installs.Acceptance", "installs.StrengthNotice", "installs.EarlyRelease",
    "installs.LiftDesign", "installs.LiftSignature", "installs.SignedSheet", "installs.Correction",
    "crew.CrewDay", "crew.CrewDay_people", "crew.Plan", "crew.ClosedDays", "installs.PourDesign",
    "installs.Confirmation", "installs.RecordCheck", "installs.Event", "installs.ApplicationLine",
    "installs.UtilityApplication", "installs.GroundStationDesign", "installs.TurbineDesign",
}  # fmt: skip


class Board:
    """Two jobs with crew days, seen by the office."""

    def __init__(self, client):
        self.office, self.now = alma(), timezone.now()
        self.ben = make_person("Ben Osgood")
        self.crew = Crew.objects.create(name="Pad crew", foreman=self.ben)
        self.job, self.other = (self.made(f"2031-9{n:02}") for n in (1, 2))
        self.today = self.job.local(self.now).date()
        client.force_login(self.office)
        self.client = client

    def made(self, number):
        job = make_job(by=self.office, members=(self.ben,), at=self.now, number=number)
        copy_lists(job, by=self.office, at=self.now)
        return job

    @property
    def by(self):
        return {"by": self.office, "at": timezone.now()}

    def day(self, days=3, job=None, phase="survey"):
        return add_day(job or self.job, phase, self.today + timedelta(days=days), self.crew, **self.by)

    def permit(self, **fields):
        permit = Permit(asked_of="Juniper County", asked_on=self.today, **{"kind": "building", **fields})
        return record_permit(self.job, permit, [], **self.by)

    def shows(self, words, path="/look-ahead/"):
        return words in self.client.get(path).content.decode()


@pytest.fixture
def board(client):
    return Board(client)


def permit(board):
    return board.permit, "Building permit from Juniper County", "/look-ahead/"


def phase(board):
    return lambda: wire(board), '<span class="small">ground station', "/look-ahead/"


def deviation(board):
    opened = lambda: open_deviation(board.job, "frozen edge", "blanket blew off", **board.by)  # noqa: E731
    return opened, "frozen edge", "/look-ahead/"


def owner(board):
    return (
        (lambda: change_job(board.job, {"owner": "Orrin Renamed"}, **board.by)),
        "Orrin Renamed",
        "/look-ahead/",
    )


def day_added(board):
    return board.day, "Pad crew, tentative", "/look-ahead/"


def day_moved(board):
    day = board.day()
    moved = lambda: move_day(day, board.today + timedelta(days=8), "gusts of 31 mph", **board.by)  # noqa: E731
    return moved, "gusts of", "/crew-days/"


def absence(board):
    board.day()
    away = {"first_on": board.today, "last_on": board.today + timedelta(days=9), "why": "fishing"}
    return (lambda: Absence.objects.create(person=board.ben, **away)), "is away (fishing)", "/crew-days/"


def person_on_two_jobs(board):
    board.day()
    return (
        (lambda: board.day(job=board.other)),
        "Ben Osgood is on 2031-901 and 2031-902 the same day",
        "/crew-days/",
    )


def name(board):
    board.day()
    people = type(board.ben).objects.filter(pk=board.ben.pk)
    return (lambda: people.update(full_name="Ben Newname")), "Ben Newname", "/crew-days/"


def crew_renamed(board):
    board.day()
    return (
        (lambda: Crew.objects.filter(pk=board.crew.pk).update(name="Ridge crew")),
        "Ridge crew",
        "/look-ahead/",
    )


def phone(board):
    board.day()
    device = Device.objects.create(uuid="0" * 32, person=board.ben, heard_at=timezone.now())
    waits = lambda: Device.objects.filter(pk=device.pk).update(waiting=7)  # noqa: E731
    return waits, "7 not sent", "/look-ahead/"


def certificate(board):
    wiring = CrewDay.objects.create(
        job=board.job, phase="ground station", on=board.today + timedelta(days=3), crew=board.crew,
        made_at=timezone.now(), made_by=board.office,
    )  # fmt: skip
    wiring.people.add(board.ben)
    expires = board.today + timedelta(days=1)
    card = make_card(board.ben, "electrician", board.today + timedelta(days=300))
    cut = lambda: Certificate.objects.filter(pk=card.pk).update(expires_on=expires)  # noqa: E731
    return cut, "Ben Osgood, electrician, ", "/look-ahead/"


def site_closed(board):
    board.day()
    last = board.today + timedelta(days=30)
    return (
        (lambda: close_site(board.job, board.today, last, "calving", **board.by)),
        "The site is closed: calving",
        "/crew-days/",
    )


def crane_booked(board):
    crane = make_kit().crane
    Crane.objects.filter(pk=crane.pk).update(owner_firm="Hale Rigging")
    booking = CraneBooking(crane=crane, first_on=board.today, last_on=board.today)
    return (lambda: book(booking, confirmed=True, **board.by)), "no lift is planned with it", "/crew-days/"


CHANGES = (
    permit, phase, deviation, owner, day_added, day_moved, absence, person_on_two_jobs, name, crew_renamed,
    phone, certificate, site_closed, crane_booked,
)  # fmt: skip


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: change.__name__)
def test_what_a_state_stands_on_shows_at_once_when_it_changes(board, change):
    do, words, path = change(board)
    assert not board.shows(words, path)
    do()
    assert board.shows(words, path)


def state(board, at=None):
    """What the pages say of the job as the process keeps it, and as it is when nothing is kept."""
    kept = said(board, at)
    Kept.forget()
    return kept, said(board, at)


def said(board, at=None):
    line = next(
        each
        for each in lines(load_morning(at or timezone.now(), board.office))
        if each.morning.job == board.job
    )
    m = line.morning
    return (
        line.step, line.when, line.who, line.waits, line.calls, line.days, line.gate, line.signed,
        line.expires, line.deviations, line.phones, m.facts, [d.pk for d in m.standing], m.clashes,
        m.job.owner, m.members,
    )  # fmt: skip


def wire(board):
    """Begun through its closed gate, as the record says."""
    fields = {"code": "G01", "number": 24.0, "taken_at": timezone.now(), "received_at": timezone.now()}
    take_entry(board.job, by=board.ben, **fields)


def enter(board):
    fields = {"code": "C10", "text": "5/8 in", "taken_at": timezone.now(), "received_at": timezone.now()}
    take_entry(board.job, by=board.ben, **fields)


def inspect(board):
    visit = Inspection(kind="footing", inspector="I. Spector", inspected_on=board.today, passed=True)
    record_inspection(board.job, visit, **board.by)


STEPS = {
    "a line in the log": lambda b: open_deviation(b.job, "frozen edge", "blanket off", **b.by),
    "its answer": lambda b: answer_deviation(b.job.deviations.first(), "accept", "cored, sound", **b.by),
    "a permit": lambda b: b.permit(),
    "a permit granted": lambda b: b.permit(kind="locate", granted_on=b.today),
    "an inspection": inspect,
    "a phase begun": wire,
    "a phase ended": lambda b: finish_phase(b.job, "survey", **b.by),
    "an entry": enter,
    "a crew day": lambda b: b.day(),
    "the site closed": lambda b: close_site(b.job, b.today, b.today + timedelta(days=20), "calving", **b.by),
    "a crew day in force": lambda b: issue_plan("Season", **b.by),
    "a crew day struck": lambda b: strike_day(b.job.crew_days.first(), "wind", **b.by),
    "a member": lambda b: add_member(b.job, make_person("Cleo Late"), **b.by),
}


def test_after_every_step_of_a_job_what_is_kept_is_what_the_record_says(board):
    start_phase(board.job, "survey", **board.by)
    states = []
    for name, step in STEPS.items():
        try:
            step(board)
        except Exception as refused:  # a closed gate refuses the step: then nothing changes
            assert type(refused).__name__ in ("GateClosed", "ValidationError"), name
        kept, fresh = state(board)
        assert kept == fresh, name
        states.append(kept)
    assert len({repr(each) for each in states}) > len(STEPS) - 4


def test_a_lift_plan_follows_its_draft_its_crane_and_its_cards(client):
    kit = make_kit()
    found = review(kit.lift)
    now = timezone.now()
    make_release(kit.job, "tower lift", inputs=kit.lift.inputs(), by=kit.office, at=now)
    assert found.checks

    def missing():
        (m,) = (m for m in load_morning(timezone.now(), kit.office).jobs if m.job == kit.job)
        return m.facts.lifts["tower lift"].missing_on(kit.lift.figures.lift_on)

    before = missing()
    Certificate.objects.all().delete()
    without_cards = missing()
    assert without_cards != before
    type(kit.crane).objects.filter(pk=kit.crane.pk).update(name="Another crane")
    kit.crane.records.update(expires_on=kit.lift.figures.lift_on - timedelta(days=30))
    assert missing() != without_cards


def tables_read(work) -> set[str]:
    with CaptureQueriesContext(connection) as asked:
        work()
    named = {name for query in asked for name in re.findall(r'(?:FROM|JOIN) "(\w+)"', query["sql"])}
    models = {model._meta.db_table: model._meta.label for model in apps.get_models(include_auto_created=True)}
    return {models[name] for name in named}


def test_a_state_is_read_from_no_other_table_than_is_written_down(board):
    board.day()
    kit = make_kit()
    make_release(kit.job, "tower lift", inputs=kit.lift.inputs(), by=kit.office, at=timezone.now())
    keys = list(Job.objects.values_list("pk", flat=True))
    read = tables_read(lambda: office._worked_out(keys, timezone.now()))
    assert read - OF_A_JOB - set(SHARED) == set()
    assert set(SHARED) <= read


def test_a_change_works_out_its_own_job_alone(board, monkeypatch):
    worked_out = []
    real = office._worked_out
    monkeypatch.setattr(office, "_worked_out", lambda keys, at: worked_out.append(keys) or real(keys, at))
    load_morning(timezone.now(), board.office)
    load_morning(timezone.now(), board.office)
    open_deviation(board.job, "frozen edge", "blanket blew off", **board.by)
    load_morning(timezone.now(), board.office)
    assert [sorted(keys) for keys in worked_out] == [[board.job.pk, board.other.pk], [board.job.pk]]


def test_another_day_at_the_site_is_another_state(board):
    board.permit()
    days = [said(board, board.now + timedelta(days=n))[5] for n in (0, 1, 0)]
    assert days == [0, 1, 0]


def test_what_is_stamped_after_now_is_not_kept(board, monkeypatch):
    """By a server whose clock is ahead: it becomes known while nothing else changes."""
    later = timezone.now() + timedelta(minutes=2)
    open_deviation(board.job, "frozen edge", "blanket blew off", by=board.office, at=later)
    worked_out = []
    real = office._worked_out
    monkeypatch.setattr(office, "_worked_out", lambda keys, at: worked_out.append(keys) or real(keys, at))
    for _ in range(2):
        load_morning(timezone.now(), board.office)
    assert [board.job.pk in keys for keys in worked_out].count(True) == 2


def test_a_job_that_is_archived_leaves_the_pages(board):
    assert board.shows("2031-901")
    archive_job(board.job, **board.by)
    assert not board.shows("2031-901")


def test_whose_job_it_is_decides_what_is_seen_not_what_is_kept(board):
    load_morning(timezone.now(), board.office)
    cleo = make_person("Cleo Stranger", "crew")
    assert load_morning(timezone.now(), cleo).jobs == []
    add_member(board.other, cleo, **board.by)
    assert [m.job for m in load_morning(timezone.now(), cleo).jobs] == [board.other]


def test_each_cell_of_a_shared_table_counts_but_not_a_sign_in(board):
    before = version(board.now)
    type(board.ben).objects.filter(pk=board.ben.pk).update(last_login=timezone.now())
    assert version(board.now) == before
    type(board.ben).objects.filter(pk=board.ben.pk).update(phone="701 555 0107")
    assert version(board.now) != before


def test_where_a_job_stands_is_one_query_for_all_jobs(board):
    with CaptureQueriesContext(connection) as asked:
        found = job_versions(Job.objects.all())
    assert len(asked) == 1
    assert found[board.job.pk].ends != found[board.other.pk].ends


def test_threads_share_what_is_kept_without_losing_or_mixing_it():
    kept, wrong = Kept(most=3), []

    def made(keys: list[int]) -> dict[int, str]:
        return {key: f"made {key}" for key in keys}

    def work(start: int) -> None:
        for n in range(2_000):
            key = (start + n) % 7
            one = kept.get(key, lambda key=key: made([key])[key])
            found = kept.each({key + 100: n % 2, key + 200: 0}, made)
            if one != f"made {key}" or found != made([key + 100, key + 200]):
                wrong.append(key)

    threads = [threading.Thread(target=work, args=(n,)) for n in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert wrong == []


def test_of_no_jobs_there_are_no_versions():
    assert job_versions(Job.objects.filter(pk__in=[])) == {}
