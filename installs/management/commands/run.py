"""Start everything on this machine: web server, two workers and the tick, under one process runner."""

from __future__ import annotations

import fcntl
import http.client
import os
import shlex
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth import get_user_model
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from installs.env import env_int
from installs.onemachine import journal_in_words
from installs.work.queues import QUEUES

HOST = "127.0.0.1"
START_WITHIN_S = 60
STOP_WITHIN_S = 10


class Command(BaseCommand):
    help = __doc__
    requires_system_checks = []  # migrate runs them

    def handle(self, *args: Any, **options: Any) -> None:
        if settings.PRODUCTION:
            raise CommandError("run is for one machine; a firm starts docker-compose.yml instead.")
        port = env_int("PORT", 8000, low=1, high=65535)
        with run_alone():
            refuse_busy(port)
            prepare()
            write_configuration(port)
            with Runner() as runner:
                runner.wait_for_web(port)
                print(
                    f"\nMastwright is at http://{HOST}:{port}/  (Ctrl-C stops it; logs: {logs()})", flush=True
                )
                runner.wait()


def logs() -> Path:
    return Path(settings.VAR_DIR) / "log"


@contextmanager
def run_alone() -> Iterator[None]:
    """Hold the lock of this folder: two starts on the same files would write into each other's logs."""
    with open(settings.VAR_DIR / "run.lock", "a+") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            lock.seek(0)
            raise CommandError(f"It runs from this folder already ({lock.read().strip()}).") from error
        lock.truncate(0)
        lock.write(f"process {os.getpid()}, port {os.environ.get('PORT', '8000')}\n")
        lock.flush()
        yield


def refuse_busy(port: int) -> None:
    with socket.socket() as trial:
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind((HOST, port))
        except OSError as error:
            other = 8000 + (port + 1) % 1000
            raise CommandError(
                f"Port {port} cannot be used ({error.strerror}): try another, like make run PORT={other}."
            ) from error


def prepare() -> None:
    """Bring the database up to date; fill an empty one with the demo."""
    if not settings.DATABASE_URL:
        print(f"Database: {journal_in_words(sqlite3.sqlite_version_info)}")
    call_command("migrate", interactive=False, verbosity=0)
    if not get_user_model().objects.exists():
        print("Loading the demo into the empty database (half a minute) ...", flush=True)
        call_command("demo")


def programs(port: int) -> dict[str, list[str]]:
    celery = [sys.executable, "-m", "celery", "-A", "installs"]
    web = [sys.executable, "-m", "gunicorn", "installs.wsgi:application", "--bind", f"{HOST}:{port}"]
    web += ["--workers", "2", "--threads", "4", "--no-control-socket", "--graceful-timeout", "5"]
    alone = ["-P", "solo", "--without-gossip", "--without-mingle", "--without-heartbeat", "-l", "info"]
    workers = {queue: [*celery, "worker", "-Q", queue, "-n", f"{queue}@%h", *alone] for queue in QUEUES}
    return {"web": web, **workers, "tick": [*celery, "beat", "-l", "info", "--pidfile="]}


def dying_together(command: list[str]) -> list[str]:
    """Where the system can (Linux): the process ends when the one that started it was killed."""
    setpriv = shutil.which("setpriv")
    return [setpriv, "--pdeathsig", "TERM", *command] if setpriv else command


def write_configuration(port: int) -> None:
    """Configuration of supervisord (supervisord.org/configuration.html)."""
    logs().mkdir(exist_ok=True)
    sections = {
        "supervisord": {
            "nodaemon": "true",
            "loglevel": "warn",
            "logfile": logs() / "runner.log",
            "pidfile": settings.VAR_DIR / "runner.pid",
            "childlogdir": logs(),
            **({"user": "root"} if os.getuid() == 0 else {}),
        }
    }
    for name, command in programs(port).items():
        sections[f"program:{name}"] = {
            "command": shlex.join(dying_together(command)),
            "directory": settings.BASE_DIR,
            "autorestart": "true",
            "startretries": "100",
            "stopwaitsecs": STOP_WITHIN_S,
            "killasgroup": "true",
            "redirect_stderr": "true",
            "stdout_logfile": logs() / f"{name}.log",
            "stdout_logfile_maxbytes": "5MB",
            "stdout_logfile_backups": "2",
        }
    # one group: its programs are stopped together, not one after another
    sections["group:all"] = {"programs": ",".join(programs(port))}
    text = ""
    for section, values in sections.items():
        text += f"[{section}]\n"
        # the file's own variables begin with %
        text += "".join(f"{name}={str(value).replace('%', '%%')}\n" for name, value in values.items())
    configuration().write_text(text, encoding="utf-8")


def configuration() -> Path:
    return Path(settings.VAR_DIR) / "runner.conf"


class Runner:
    """supervisord as a child; Ctrl-C or a TERM to us stops it, and it stops its own."""

    def __enter__(self) -> Runner:
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, self.stop)
        command = [sys.executable, "-m", "supervisor.supervisord", "-c", str(configuration())]
        self.stopping = False
        # a session of its own: the terminal's Ctrl-C reaches us only, and we pass it on once
        self.process = subprocess.Popen(dying_together(command), start_new_session=True)
        return self

    def stop(self, number: int, frame: object) -> None:
        if not self.stopping:
            self.stopping = True
            print("\nStopping ...", flush=True)
            self.process.terminate()

    def wait_for_web(self, port: int) -> None:
        give_up = time.monotonic() + START_WITHIN_S
        while not self.stopping and not answers(port):
            if time.monotonic() > give_up or self.process.poll() is not None:
                self.process.terminate()
                raise CommandError(f"The web server did not start: {last_line(logs() / 'web.log')}")
            time.sleep(0.1)

    def wait(self) -> None:
        status = self.process.wait()
        if not self.stopping:
            raise CommandError(f"The process runner ended by itself (status {status}): start again.")

    def __exit__(self, *exc: object) -> None:
        try:
            self.process.wait(timeout=STOP_WITHIN_S + 10)
        except subprocess.TimeoutExpired:
            self.process.kill()
        print("Stopped." if self.stopping else "", flush=True)


def answers(port: int) -> bool:
    try:
        connection = http.client.HTTPConnection(HOST, port, timeout=5)
        connection.request("GET", "/health", headers={"Host": settings.ALLOWED_HOSTS[0]})
        return connection.getresponse().status == 200
    except OSError:
        return False


def last_line(log: Path) -> str:
    try:
        lines = [line for line in log.read_text(errors="replace").splitlines() if line.strip()]
    except OSError:
        lines = []
    return f"{lines[-1] if lines else 'it wrote nothing'} (see {log})"
