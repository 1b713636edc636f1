"""The one Celery task."""

from __future__ import annotations

import threading

from celery.signals import worker_ready, worker_shutting_down

from installs.celery import app
from installs.work.runner import work_one
from installs.work.services import wake

stopping = threading.Event()


@app.task(name="installs.tasks.look", ignore_result=True)
def look(queue: str) -> None:
    """See one request of the queue through, and look again if there was one.

    One at a time, so that a worker that was told to stop does so between two requests. The message
    is acknowledged before the work: if it is lost with its worker, the row and the tick remain.
    """
    if not stopping.is_set() and work_one(queue):
        wake(queue)


@worker_ready.connect
def look_at_once(sender: object, **kwargs: object) -> None:
    """A worker that starts looks at once at its own queues."""
    for queue in sender.task_consumer.queues:  # type: ignore[attr-defined]
        wake(queue.name)


@worker_shutting_down.connect
def begin_nothing_more(**kwargs: object) -> None:
    stopping.set()
