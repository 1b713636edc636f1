"""A request for work is a row: asked once, taken once, kept once, whatever happens to messages."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import OperationalError, transaction

from installs import celery
from installs.people.models import SignInAttempt, User
from installs.work import registry, runner, services
from installs.work.models import State, WorkRequest
from installs.work.registry import Kind

pytestmark = pytest.mark.django_db

NOON = datetime(2031, 5, 19, 17, 0, tzinfo=UTC)


class Bench:
    """A kind of work whose doing and keeping each test sets."""

    def __init__(self) -> None:
        self.do = lambda work: {"sheets": 8}
        self.keep = lambda request, outcome: outcome
        self.begun = 0
        self.kept = 0

    def doing(self, work: Any) -> Any:
        self.begun += 1
        return self.do(work)

    def keeping(self, request: Any, outcome: Any) -> Any:
        self.kept += 1
        return self.keep(request, outcome)


@pytest.fixture
def bench() -> Iterator[Bench]:
    bench = Bench()
    registry.KINDS["tests.bench"] = Kind("tests.bench", "papers", bench.doing, bench.keeping, 600)
    yield bench
    del registry.KINDS["tests.bench"]


@pytest.fixture
def alma() -> User:
    return User.objects.create(username="alma", role="office")


def ask(key: str = "packet 1", **arguments: Any) -> WorkRequest:
    return services.request_work("tests.bench", arguments, by=None, at=NOON, key=key)


def test_work_is_done_and_its_result_kept(bench: Bench) -> None:
    request = ask(job="2031-014")
    assert runner.work_one("papers")
    request.refresh_from_db()
    assert (request.state, request.result, request.progress_share) == (State.DONE, {"sheets": 8}, 1.0)
    assert request.owner == "" and request.lease_until is None and request.tries == 1


def test_an_empty_queue_has_nothing_to_do(bench: Bench) -> None:
    ask()
    assert not runner.work_one("plans")
    assert bench.begun == 0


def test_the_oldest_request_goes_first(bench: Bench) -> None:
    first, second = ask("one"), ask("two")
    runner.work_one("papers")
    assert WorkRequest.objects.get(pk=first.pk).is_over
    assert not WorkRequest.objects.get(pk=second.pk).is_over


def test_the_same_key_asked_twice_is_one_request(bench: Bench) -> None:
    assert ask().pk == ask().pk


def test_a_done_request_asked_again_keeps_its_result(bench: Bench) -> None:
    ask()
    runner.work_one("papers")
    again = ask()
    assert again.state == State.DONE and again.result == {"sheets": 8}
    assert not runner.work_one("papers") and bench.begun == 1


def test_a_kind_that_nobody_registered_cannot_be_asked_for() -> None:
    with pytest.raises(services.UnknownKind):
        services.request_work("tests.nothing", {}, by=None, at=NOON, key="x")


def test_a_kind_belongs_to_one_module() -> None:
    with pytest.raises(ValueError, match="no queue"):
        registry.kind("tests.lost", queue="nowhere")


def test_a_request_of_an_unknown_kind_fails_in_words() -> None:
    request = WorkRequest.objects.create(kind="tests.gone", queue="papers", key="1", requested_at=NOON)
    assert runner.work_one("papers")
    request.refresh_from_db()
    assert request.state == State.FAILED and "tests.gone" in request.error


def test_of_two_workers_that_saw_the_same_row_one_gets_it(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    ask()
    seen = services.sweep

    def other_worker_is_faster(queue: str, *, at: datetime) -> None:
        monkeypatch.setattr(services, "sweep", seen)
        assert services.claim(queue, owner="other", at=at)

    monkeypatch.setattr(services, "sweep", other_worker_is_faster)
    assert services.claim("papers", owner="mine", at=NOON) is None
    assert WorkRequest.objects.get().owner == "other"


def test_a_held_request_is_left_alone_until_its_lease_ran_out(bench: Bench) -> None:
    ask()
    assert services.claim("papers", owner="first", at=NOON)
    assert services.claim("papers", owner="second", at=NOON + services.lease() / 2) is None
    taken = services.claim("papers", owner="second", at=NOON + services.lease() * 2)
    assert taken and (taken.owner, taken.tries) == ("second", 2)


def test_a_renewed_lease_holds_longer(bench: Bench) -> None:
    ask()
    request = services.claim("papers", owner="first", at=NOON)
    assert request and services.renew(request, owner="first", at=NOON + services.lease())
    assert services.claim("papers", owner="second", at=NOON + services.lease() * 1.5) is None


def test_a_lost_lease_is_not_renewed(bench: Bench) -> None:
    ask()
    request = services.claim("papers", owner="first", at=NOON)
    assert request and services.claim("papers", owner="second", at=NOON + services.lease() * 2)
    assert not services.renew(request, owner="first", at=NOON + services.lease() * 2)


def test_three_starts_without_an_end_are_a_failure_that_says_so(bench: Bench) -> None:
    ask()
    at = NOON
    for _ in range(3):
        assert services.claim("papers", owner="dies", at=at)
        at += services.lease() * 2
    assert services.claim("papers", owner="fourth", at=at) is None
    request = WorkRequest.objects.get()
    assert request.state == State.FAILED and "3 times" in request.error


def test_what_a_worker_works_out_after_losing_its_lease_is_dropped(bench: Bench) -> None:
    request = ask()

    def taken_over_meanwhile(work: Any) -> str:
        WorkRequest.objects.filter(pk=request.pk).update(owner="second")
        return "late"

    bench.do = taken_over_meanwhile
    runner.work_one("papers")
    request.refresh_from_db()
    assert (request.state, request.owner, request.result) == (State.RUNNING, "second", None)
    assert bench.kept == 0


def test_keeping_and_marking_done_are_one_transaction(bench: Bench) -> None:
    def keeps_half(request: Any, outcome: Any) -> None:
        SignInAttempt.objects.create(username="half", at=NOON, succeeded=False)
        raise ValueError("no room on the disk")

    bench.keep = keeps_half
    request = ask()
    runner.work_one("papers")
    request.refresh_from_db()
    assert request.state == State.FAILED and "no room on the disk" in request.error
    assert not SignInAttempt.objects.exists()


def test_a_failure_says_why_and_can_be_tried_again(bench: Bench, alma: User) -> None:
    def fails(work: Any) -> None:
        raise runner.WorkFailed("The foundation has no released revision.")

    good, bench.do = bench.do, fails
    request = ask()
    runner.work_one("papers")
    request.refresh_from_db()
    assert request.error == "The foundation has no released revision."
    bench.do = good
    services.try_again(request, by=alma, at=NOON + timedelta(hours=1))
    assert (request.state, request.error, request.tries) == (State.QUEUED, "", 0)
    runner.work_one("papers")
    request.refresh_from_db()
    assert request.state == State.DONE


def test_a_failed_request_asked_for_again_is_queued_anew(bench: Bench) -> None:
    request = ask()
    WorkRequest.objects.update(state=State.FAILED, error="x")
    assert ask().state == State.QUEUED
    assert WorkRequest.objects.get().pk == request.pk


def test_trying_again_leaves_a_running_request_alone(bench: Bench, alma: User) -> None:
    request = ask()
    services.claim("papers", owner="first", at=NOON)
    assert services.try_again(request, by=alma, at=NOON).owner == "first"


def test_a_database_that_went_away_leaves_the_request_to_be_tried_again(bench: Bench) -> None:
    def loses_database(work: Any) -> None:
        raise OperationalError("server closed the connection")

    closed = []
    bench.do = loses_database
    request = ask()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(runner.connection, "close", lambda: closed.append(True))
        runner.work_one("papers")
    request.refresh_from_db()
    assert request.state == State.RUNNING and closed


def test_a_waiting_request_is_cancelled_at_once(bench: Bench, alma: User) -> None:
    request = services.cancel(ask(), by=alma, at=NOON)
    assert request.state == State.CANCELLED and request.cancel_asked_by == alma
    assert not runner.work_one("papers")


def test_a_running_request_stops_at_its_next_progress_report(bench: Bench, alma: User) -> None:
    request = ask()
    reached = []

    def asked_to_stop(work: Any) -> None:
        work.progress("sheet 1 of 8", 0.125)
        services.cancel(work.request, by=alma, at=NOON)
        work.progress("sheet 2 of 8", 0.25)
        reached.append("sheet 3")

    bench.do = asked_to_stop
    runner.work_one("papers")
    request.refresh_from_db()
    assert request.state == State.CANCELLED and not reached and bench.kept == 0


def test_a_cancel_that_comes_before_the_result_was_kept_wins(bench: Bench, alma: User) -> None:
    def last_moment(work: Any) -> str:
        services.cancel(work.request, by=alma, at=NOON)
        return "finished"

    bench.do = last_moment
    request = ask()
    runner.work_one("papers")
    request.refresh_from_db()
    assert request.state == State.CANCELLED and bench.kept == 0


def test_a_cancelled_request_whose_worker_died_is_closed_and_not_taken_up(bench: Bench, alma: User) -> None:
    request = ask()
    services.claim("papers", owner="dies", at=NOON)
    services.cancel(request, by=alma, at=NOON)
    assert services.claim("papers", owner="next", at=NOON + services.lease() * 2) is None
    request.refresh_from_db()
    assert request.state == State.CANCELLED


def test_progress_is_seen_while_the_work_goes_on(bench: Bench) -> None:
    seen = []

    def reports(work: Any) -> None:
        work.progress("sheet 3 of 8", 0.375)
        row = WorkRequest.objects.get()
        seen.append((row.progress_text, row.progress_share))

    bench.do = reports
    ask()
    runner.work_one("papers")
    assert seen == [("sheet 3 of 8", 0.375)]


def test_a_wake_up_is_sent_after_the_commit_and_not_before(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, django_capture_on_commit_callbacks: Any
) -> None:
    sent: list[str] = []
    monkeypatch.setattr(services, "wake", sent.append)
    with django_capture_on_commit_callbacks(execute=True), transaction.atomic():
        ask()
        assert sent == []
    assert sent == ["papers"]


def test_a_wake_up_that_cannot_be_sent_does_not_fail_the_save(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, django_capture_on_commit_callbacks: Any
) -> None:
    asked: list[str] = []

    def no_broker(task: str, *args: Any, **kwargs: Any) -> None:
        asked.append(task)
        raise OSError("no space left on device")

    monkeypatch.setattr(celery.app, "send_task", no_broker)
    with django_capture_on_commit_callbacks(execute=True):
        ask()
    assert WorkRequest.objects.get().state == State.QUEUED
    assert asked == ["installs.tasks.look"]


def test_every_thread_of_a_web_server_wakes_the_worker_through_our_broker(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The message library keeps its current app by thread; one that was told of none sends to nowhere."""
    sent: list[tuple[str, str]] = []
    monkeypatch.setattr(celery.app, "send_task", lambda task, queue, **kwargs: sent.append((task, queue)))
    thread = threading.Thread(target=services.wake, args=["papers"])
    thread.start()
    thread.join()
    assert sent == [("installs.tasks.look", "papers")]


def test_after_one_request_the_worker_looks_again(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    from installs import tasks

    sent: list[str] = []
    monkeypatch.setattr(tasks, "wake", sent.append)
    ask()
    tasks.look("papers")
    tasks.look("papers")
    assert sent == ["papers"]
