"""A sheet that is kept says what one that is made anew says, whatever was changed and by whom."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from crew.cranes.services import book
from crew.morning import office
from crew.morning.look_ahead import lines
from crew.morning.office import PLANNED, SHARED, load_morning
from crew.plan.issuing import issued_by_next
from crew.plan.models import Absence, CraneBooking, Crew, CrewDay
from crew.plan.services import close_site, open_site, strike_day
from installs.jobs.kept import Kept, kept_shared, shared_at, version
from installs.jobs.reading import one_reading
from installs.jobs.services import change_job, open_deviation
from installs.lift import review as lifts
from installs.people.models import Certificate, Firm, User
from installs.sent.seen import carried as in_a_form
from installs.sent.seen import of_row
from tests.crew.season import Season, form_at
from tests.lift.kit import make_kit
from tests.make import make_person, make_release

pytestmark = pytest.mark.django_db
# what is drawn anew for each request: tokens, ids of forms, the hour, what a page asks again by
DRAWN = re.compile(r'value="[^"]{32,}"|x-csrftoken": "\w+"|hx-get="[^"]+"|computed [^<]+|form_id[^>]+')


class Board(Season):
    """Two jobs that have the pad crew on one date, seen by two of the office."""

    def __init__(self) -> None:
        super().__init__()
        self.one, self.two = self.job(number="2031-901"), self.job(number="2031-902")
        self.first = self.day(self.one, "excavation", 0)
        self.both = self.day(self.two, "excavation", 0)
        self.behind = CrewDay.objects.create(
            job=self.one,
            phase="survey",
            on=timezone.now().date() - timedelta(days=4),
            crew=self.pad,
            made_at=timezone.now(),
            made_by=self.office,
        )
        self.beth = make_person("Beth Lund", "office")
        self.closed = close_site(self.two, self.on(0), self.on(3), "calving", **self.by)
        self.away = Absence.objects.create(person=self.gus, first_on=self.on(0), last_on=self.on(1))

    @property
    def by(self):
        return {"by": self.office, "at": timezone.now()}

    def shows(self, person: User, path: str) -> str:
        client = Client()
        client.force_login(person)
        answer = client.get(path)
        assert answer.status_code == 200
        return DRAWN.sub("", answer.content.decode())


@pytest.fixture
def board() -> Board:
    return Board()


CHANGES = {
    "a crew renamed": lambda b: Crew.objects.filter(pk=b.pad.pk).update(name="Ridge crew"),
    "somebody joins a crew": lambda b: b.pad.people.add(b.gus),
    "somebody is away": lambda b: Absence.objects.create(
        person=b.ben, first_on=b.on(0), last_on=b.on(2), why="fishing"
    ),
    "somebody is back": lambda b: Absence.objects.filter(pk=b.away.pk).update(withdrawn_on=b.on(0)),
    "a site closed": lambda b: close_site(b.one, b.on(0), b.on(5), "flood", **b.by),
    "a site opened": lambda b: open_site(b.closed, **b.by),
    "a day struck on the other job": lambda b: strike_day(b.both, "wind", **b.by),
    "a day put down": lambda b: b.day(b.two, "pour", 1),
    "a day behind told of": lambda b: CrewDay.objects.filter(pk=b.behind.pk).update(
        worked_at=timezone.now(), worked_by=b.office
    ),
    "a job's number": lambda b: change_job(b.one, {"number": "2031-977"}, **b.by),
    "a person renamed": lambda b: User.objects.filter(pk=b.ben.pk).update(full_name="Ben Newname"),
    "somebody left": lambda b: User.objects.filter(pk=b.ben.pk).update(
        archived_on=b.on(-14), is_active=False
    ),
    "a crane booked": lambda b: book(
        CraneBooking(crane=b.crane, first_on=b.on(0), last_on=b.on(0)), confirmed=True, **b.by
    ),
    "a card withdrawn": lambda b: Certificate.objects.filter(person=b.ben).delete(),
    "a deviation": lambda b: open_deviation(b.one, "frozen edge", "blanket blew off", **b.by),
    "the firm renamed": lambda b: Firm.objects.update_or_create(pk=1, defaults={"name": "Ridge Wind"}),
}
# what a change shows on each of the two pages
SHOWN = {
    "/crew-days/": set(CHANGES) - {"a card withdrawn", "a deviation"},
    "/look-ahead/": {
        "a crew renamed",
        "a day put down",
        "a day struck on the other job",
        "a day behind told of",
        "a job's number",
        "a deviation",
        "the firm renamed",
    },
}


@pytest.mark.parametrize("path", SHOWN)
@pytest.mark.parametrize("change", CHANGES)
def test_what_is_kept_shows_what_is_made_anew_shows(board, change, path):
    before = board.shows(board.beth, path)
    assert board.shows(board.office, path)
    CHANGES[change](board)
    kept = board.shows(board.beth, path)
    Kept.forget()
    assert kept == board.shows(board.beth, path)
    assert change not in SHOWN[path] or kept != before


def clashes_of(board, job, at=None):
    morning = load_morning(at or timezone.now(), board.office)
    (m,) = (m for m in morning.jobs if m.job == job)
    return [clash.sentence for clash in m.clashes], morning


def test_what_two_jobs_have_of_one_person_ends_for_both_when_one_of_them_lets_go(board):
    twice = "Ben Osgood is on 2031-901 and 2031-902 the same day"
    assert twice in clashes_of(board, board.one)[0]
    strike_day(board.both, "wind", **board.by)
    assert twice not in clashes_of(board, board.one)[0]


def test_every_conflict_stands_once_and_by_date(board):
    morning = clashes_of(board, board.one)[1]
    every = {clash for m in morning.jobs for clash in m.clashes} | set(morning.of_no_job)
    assert len(morning.clashes) == len(every)
    assert set(morning.clashes) == every
    assert [c.on for c in morning.clashes] == sorted(c.on for c in every)


def test_after_midnight_at_the_site_what_is_kept_is_of_the_new_day(board):
    for days in (0, 13, 14, 15, 0):
        at = timezone.now() + timedelta(days=days)
        kept = clashes_of(board, board.one, at)
        said = [(each.when, each.calls, each.morning.unsaid) for each in lines(kept[1])]
        Kept.forget()
        fresh = clashes_of(board, board.one, at)
        assert kept[0] == fresh[0]
        assert said == [(each.when, each.calls, each.morning.unsaid) for each in lines(fresh[1])]


def test_an_issued_plan_is_read_as_the_days_stand(board):
    def carried():
        return clashes_of(board, board.one)[1].issued

    states = [carried()]
    for change in (
        lambda: strike_day(board.both, "wind", **board.by),
        lambda: board.day(board.two, "pour", 2),
        lambda: Crew.objects.filter(pk=board.pad.pk).update(name="Ridge crew"),
    ):
        change()
        states.append(carried())
        assert states[-1] == in_a_form(issued_by_next())
    assert len({state["drawn_from"] for state in states}) == len(states)


def test_a_shared_table_is_read_once_while_it_stands_and_anew_when_a_cell_changes(board):
    asked = []
    names = kept_shared(lambda: asked.append(1) or list(Crew.objects.values_list("name", flat=True)))

    def at_its_version():
        stands = version(timezone.now(), *PLANNED)
        with shared_at((stands.database, *stands.of(*SHARED))):
            return names()

    assert at_its_version() == at_its_version() == ["Pad crew", "Tower crew"]
    assert len(asked) == 1
    Crew.objects.filter(pk=board.pad.pk).update(name="Ridge crew")
    assert at_its_version() == ["Ridge crew", "Tower crew"]
    assert [names(), len(asked)] == [["Ridge crew", "Tower crew"], 3]  # and each time where it is not known


def test_a_lift_is_judged_by_the_cards_and_cranes_of_now_kept_or_not():
    kit = make_kit()
    make_release(kit.job, "tower lift", inputs=kit.lift.inputs(), by=kit.office, at=timezone.now())

    def missing():
        (m,) = (m for m in load_morning(timezone.now(), kit.office).jobs if m.job == kit.job)
        return m.facts.lifts["tower lift"].missing_on(kit.lift.figures.lift_on)

    first = missing()
    for change in (
        lambda: Certificate.objects.all().delete(),
        lambda: kit.crane.records.update(expires_on=kit.lift.figures.lift_on - timedelta(days=30)),
        lambda: type(kit.crane).objects.filter(pk=kit.crane.pk).update(name="Another crane"),
    ):
        change()
        state = lifts.load_lifts([kit.job])[kit.job.pk, "tower lift"]
        assert missing() == state.missing_on(kit.lift.figures.lift_on)
    assert missing() != first


def test_rows_with_a_button_carry_what_it_is_pressed_on_made_and_kept(board):
    client = Client()
    client.force_login(board.office)
    for _ in range(2):
        page = client.get("/crew-days/").content.decode()
        for action, row in (
            (reverse("site-opened", args=[board.closed.pk]), board.closed),
            (reverse("crew-day-worked", args=[board.behind.pk]), board.behind),
        ):
            row.refresh_from_db()
            sent = form_at(page, "/crew-days/", action).hidden()
            assert sent["drawn_from"] == in_a_form(of_row(row))["drawn_from"]


def test_one_change_to_one_job_asks_at_most_twenty_two_questions(board):
    load_morning(timezone.now(), board.office)
    open_deviation(board.one, "frozen edge", "blanket blew off", **board.by)
    with one_reading(), CaptureQueriesContext(connection) as asked:
        load_morning(timezone.now(), board.office)
    assert len(asked) <= 22


def test_many_jobs_are_worked_out_in_batches_and_each_once(board, monkeypatch):
    worked_out = []
    real = office._worked_out
    monkeypatch.setattr(office, "_worked_out", lambda keys, at: worked_out.append(keys) or real(keys, at))
    monkeypatch.setattr(office, "BATCH", 2)
    three = board.job(number="2031-903")
    found = load_morning(timezone.now(), board.office).jobs
    assert [m.job.number for m in found] == ["2031-901", "2031-902", "2031-903"]
    assert worked_out == [[board.one.pk, board.two.pk], [three.pk]]
