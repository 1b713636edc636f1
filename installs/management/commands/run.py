"""Start everything on this machine, web server and worker; what dies is started again, Ctrl-C ends all."""

from __future__ import annotations

import fcntl
import http.client
import logging
import os
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from logging.handlers import RotatingFileHandler
from pathlib import Path
from typing import IO, Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from installs.env import env_bool, env_int
from installs.onemachine import journal_in_words
from installs.people.first_key import address_of, is_empty, make_key
from installs.work.programs import HOST, RETURNS_MEMORY, programs

START_WITHIN_S = 60
STOP_WITHIN_S = 10
LOOK_EVERY_S = 0.2
FIRST = "Nobody is here yet. Open this once, on this machine, to enter your firm or to load the demo:"
AGAIN_AFTER_S = 1.0  # what ends as soon as it has begun is not begun again at once


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
            with Runner(programs(port)) as runner:
                runner.wait_for_web(port)
                if is_empty():
                    print(f"\n{FIRST}\n  {address_of(make_key(), site(port))}", flush=True)
                print(f"\nMastwright is at {site(port)}/  (Ctrl-C stops it; logs: {logs()})", flush=True)
                runner.keep()


def site(port: int) -> str:
    return f"http://{HOST}:{port}"


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
    """Bring the database up to date; with DEMO=True fill an empty one with the demo."""
    if not settings.DATABASE_URL:
        print(f"Database: {journal_in_words(sqlite3.sqlite_version_info)}", flush=True)
    manage("migrate", "--no-input", "--verbosity", "0")
    if env_bool("DEMO", False) and is_empty():
        print("Loading the demo into the empty database (half a minute) ...", flush=True)
        manage("demo")


def manage(*words: str) -> None:
    """In a process of its own: this one stays, and need not hold what migrations and drawings took."""
    if subprocess.run([sys.executable, "manage.py", *words], cwd=settings.BASE_DIR).returncode:
        raise CommandError(f"manage.py {words[0]} failed: see above.")


def dying_together(command: list[str]) -> list[str]:
    """Where the system can (Linux): the process ends when the one that started it was killed."""
    setpriv = shutil.which("setpriv")
    return [setpriv, "--pdeathsig", "TERM", *command] if setpriv else command


class Program:
    """One program: started again whenever it ends, its words in a log that stays small."""

    def __init__(self, name: str, command: list[str]) -> None:
        self.command = dying_together(command)
        log = logs() / f"{name}.log"
        self.log = RotatingFileHandler(log, maxBytes=5_000_000, backupCount=2, encoding="utf-8", delay=True)
        self.start()

    def start(self) -> None:
        # a session of its own: the terminal's Ctrl-C reaches us only, and what it left behind can be ended
        self.process = subprocess.Popen(
            self.command,
            cwd=settings.BASE_DIR,
            env=os.environ | RETURNS_MEMORY,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
        self.started = time.monotonic()
        threading.Thread(target=self.write_down, args=(self.process.stdout,), daemon=True).start()

    def write_down(self, said: IO[bytes]) -> None:
        with said:
            for line in said:
                words = line.decode(errors="replace").rstrip("\n")
                self.log.handle(logging.makeLogRecord({"msg": words}))

    def start_if_ended(self) -> None:
        if self.process.poll() is not None and time.monotonic() > self.started + AGAIN_AFTER_S:
            self.end_rest()
            self.start()

    def end_rest(self) -> None:
        """What it started and left behind: a web worker would hold the port, a press print on."""
        with suppress(ProcessLookupError, PermissionError):  # nobody is left
            os.killpg(self.process.pid, signal.SIGKILL)

    def end(self, by: float) -> None:
        """Wait for it until ``by`` (time.monotonic()), then kill it."""
        with suppress(subprocess.TimeoutExpired):
            self.process.wait(timeout=max(0.0, by - time.monotonic()))
        self.end_rest()
        self.process.wait()


class Runner:
    """Keeps the programs running until Ctrl-C, a TERM or the end of the terminal stops them all."""

    def __init__(self, commands: dict[str, list[str]]) -> None:
        self.commands = commands
        self.programs: list[Program] = []
        self.stopping = False

    def __enter__(self) -> Runner:
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, self.stop)
        logs().mkdir(exist_ok=True)
        self.programs = [Program(name, command) for name, command in self.commands.items()]
        return self

    def stop(self, number: int, frame: object) -> None:
        if not self.stopping:
            self.stopping = True
            print("\nStopping ...", flush=True)

    def wait_for_web(self, port: int) -> None:
        give_up = time.monotonic() + START_WITHIN_S
        while not self.stopping and not answers(port):
            if time.monotonic() > give_up:
                raise CommandError(f"The web server did not start: {last_line(logs() / 'web.log')}")
            self.look()

    def keep(self) -> None:
        while not self.stopping:
            self.look()

    def look(self) -> None:
        for program in self.programs:
            program.start_if_ended()
        time.sleep(LOOK_EVERY_S)

    def __exit__(self, *exc: object) -> None:
        for program in self.programs:
            program.process.terminate()
        by = time.monotonic() + STOP_WITHIN_S
        for program in self.programs:
            program.end(by)
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
