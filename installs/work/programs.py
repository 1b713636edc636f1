"""What runs on one machine, web server and workers, as commands; read by tools that start no Django."""

from __future__ import annotations

import sys

from installs.work.queues import QUEUES, WORKERS

HOST = "127.0.0.1"
# large blocks (open pictures) go back to the system when they are let go of, and the threads share two heaps;
# the image sets it too
RETURNS_MEMORY = {"MALLOC_MMAP_THRESHOLD_": "500000", "MALLOC_ARENA_MAX": "2"}


def programs(port: int) -> dict[str, list[str]]:
    """Each program's command by its name, the web server at ``port`` of this machine only."""
    celery = [sys.executable, "-m", "celery", "-A", "installs"]
    web = [sys.executable, "-m", "gunicorn", "installs.wsgi:application", "--bind", f"{HOST}:{port}"]
    web += ["--worker-class", "installs.work.patient.PatientWorker", "--worker-connections", "400"]
    web += ["--workers", "2", "--threads", "4", "--no-control-socket", "--graceful-timeout", "5"]
    alone = ["-P", "solo", "--without-gossip", "--without-mingle", "--without-heartbeat", "-l", "info"]
    workers = {
        WORKERS[queue]: [*celery, "worker", "-n", f"{queue}@%h", "-Q", queue, *alone] for queue in QUEUES
    }
    return {"web": web, **workers}
