"""The one Celery task, and the worker's own clock."""

from __future__ import annotations

import logging
import threading
from typing import Any

from celery.signals import worker_ready, worker_shutting_down
from django.conf import settings
from django.db import connection
from django.utils import timezone

from installs.celery import app
from installs.work.runner import work_one
from installs.work.services import request_nightly, wake

log = logging.getLogger(__name__)
stopping = threading.Event()


@app.task(name="installs.tasks.look", ignore_result=True)  # type: ignore[untyped-decorator]  # celery has no types
def look(queue: str) -> None:
    """See one request of the queue through, and look again if there was one.

    One at a time, so that a worker that was told to stop does so between two requests. The message
    is acknowledged before the work: if it is lost with its worker, the row and the clock remain.
    """
    if not stopping.is_set() and work_one(queue):
        wake(queue)


@worker_ready.connect  # type: ignore[untyped-decorator]  # celery has no types
def start_clock(sender: Any, **kwargs: object) -> None:
    queues = [queue.name for queue in sender.task_consumer.queues]
    threading.Thread(target=look_now_and_then, args=(queues,), name="clock", daemon=True).start()


def look_now_and_then(queues: list[str]) -> None:
    """At the start and every WORK_LOOK_SECONDS: ask for what is done nightly, wake the worker's queues.

    Whatever was left behind by a killed worker or a lost message is so taken up. Each worker has its own
    clock; asked or looked at twice, a request is still one row.
    """
    while not stopping.is_set():
        try:
            request_nightly(at=timezone.now())
        except Exception:  # the clock goes on: whatever stands in the way may be gone at the next look
            log.exception("the nightly work could not be asked for")
        finally:
            connection.close()
        for queue in queues:
            wake(queue)
        stopping.wait(settings.WORK_LOOK_SECONDS)


@worker_shutting_down.connect  # type: ignore[untyped-decorator]  # celery has no types
def begin_nothing_more(**kwargs: object) -> None:
    stopping.set()
