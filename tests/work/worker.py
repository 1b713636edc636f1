"""A worker with kinds of work for the tests: worker.py worker QUEUE, or worker.py request KIND KEY..."""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "installs.settings")

import django

django.setup()

from django.conf import settings  # noqa: E402
from django.utils import timezone  # noqa: E402

from installs.celery import app  # noqa: E402
from installs.people.models import SignInAttempt  # noqa: E402
from installs.work.registry import kind  # noqa: E402
from installs.work.services import request_work  # noqa: E402


def keep(request: Any, outcome: Any) -> Any:
    """A row that any number may exist of, so that a result kept twice shows."""
    SignInAttempt.objects.create(username=request.key, at=timezone.now(), succeeded=True)
    return outcome


def begun(work: Any) -> None:
    with (Path(settings.VAR_DIR) / f"begun-{work.request.key}").open("a") as file:
        file.write("x")


@kind("tests.slow", queue="papers", keep=keep)
def slow(work: Any) -> str:
    """Goes on until the file "go on" is there."""
    begun(work)
    while not (Path(settings.VAR_DIR) / "go on").exists():
        work.progress("waiting", 0.5)
        time.sleep(0.1)
    return "slow and sure"


@kind("tests.quick", queue="papers", keep=keep)
def quick(work: Any) -> str:
    begun(work)
    return "quick"


@kind("tests.stuck", queue="papers", keep=keep, limit_s=1)
def stuck(work: Any) -> None:
    begun(work)
    time.sleep(3600)


if __name__ == "__main__":
    if sys.argv[1] == "worker":
        queue = sys.argv[2]
        app.worker_main(["worker", "-Q", queue, "-P", "solo", "-n", f"{queue}{os.getpid()}@%h", "-l", "info"])
    else:
        for key in sys.argv[3:]:
            request_work(sys.argv[2], {}, by=None, at=timezone.now(), key=key)
