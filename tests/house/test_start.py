"""``make run``: one command starts all, what dies is started again, Ctrl-C ends all, nothing is lost.

The demo orders papers, so that the worker has one to print from the first second.
"""

from __future__ import annotations

import http.client
import json
import os
import re
import signal
import socket
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from tests.prepared import DATABASE, demo_for, schema_for
from tests.served import PATIENCE_S

ROOT = Path(__file__).resolve().parents[2]

MARKS = {"web": "gunicorn", "worker": "-Q papers", "planner": "-Q plans"}

pytestmark = pytest.mark.slow


def free_port() -> int:
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        return int(trial.getsockname()[1])


def children(pid: int) -> dict[str, int]:
    """Programs started by a process, by what tells them apart in their command lines."""
    found = {}
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            parent = int((folder / "stat").read_text().rpartition(")")[2].split()[1])
            args = (folder / "cmdline").read_bytes().replace(b"\0", b" ").decode()
        except OSError:
            continue  # it ended meanwhile
        if parent == pid:
            found |= {name: int(folder.name) for name, mark in MARKS.items() if mark in args}
    return found


def alive(pid: int) -> bool:
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state != "Z"


def wait_until(true: Callable[[], object], what: str) -> None:
    give_up = time.monotonic() + PATIENCE_S
    while not true():
        assert time.monotonic() < give_up, what
        time.sleep(0.1)


class Start:
    def __init__(self, folder: Path, port: int) -> None:
        self.folder, self.port = folder, port
        self.log = folder / "said.txt"
        env = os.environ | {"VAR_DIR": str(folder / "var"), "PORT": str(port)}
        env |= {"WORK_LEASE_SECONDS": "3", "WORK_LOOK_SECONDS": "1"}
        with self.log.open("wb") as said:
            self.process = subprocess.Popen(
                [sys.executable, "manage.py", "run"],
                env=env,
                cwd=ROOT,
                stdin=subprocess.DEVNULL,
                stdout=said,
                stderr=said,
                start_new_session=True,
            )

    def said(self) -> str:
        return self.log.read_text()

    def wait_for_address(self) -> None:
        def there() -> bool:
            assert self.process.poll() is None, self.said()
            return f"Mastwright is at http://127.0.0.1:{self.port}/" in self.said()

        wait_until(there, "no address")

    def programs(self) -> dict[str, int]:
        return children(self.process.pid)

    def ctrl_c(self) -> int:
        """As the terminal does: SIGINT to the process group in front."""
        os.killpg(self.process.pid, signal.SIGINT)
        return self.process.wait(timeout=PATIENCE_S)

    def health(self) -> int:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_S)
        try:
            connection.request("GET", "/health")
            return connection.getresponse().status
        except OSError:
            return 0
        finally:
            connection.close()


@pytest.fixture
def start(tmp_path: Path) -> Iterator[Callable[..., Start]]:
    starts: list[Start] = []

    def begin(port: int | None = None) -> Start:
        starts.append(Start(tmp_path, port or free_port()))
        return starts[-1]

    yield begin
    for one in starts:
        if one.process.poll() is None:
            one.process.terminate()
            one.process.wait(timeout=PATIENCE_S)


def rows(folder: Path, statement: str, *values: object) -> list[tuple[Any, ...]]:
    link = sqlite3.connect(folder / "var" / "mastwright.sqlite3", timeout=PATIENCE_S)
    try:
        return link.execute(statement, values).fetchall()
    finally:
        link.close()


def people(folder: Path) -> list[tuple[Any, ...]]:
    return rows(folder, "SELECT id, password FROM installs_user ORDER BY id")


def plans(folder: Path, state: str) -> list[tuple[Any, ...]]:
    """Lift plans whose printing is in this state: id and tries."""
    return rows(
        folder,
        "SELECT p.id, w.tries FROM installs_paper p JOIN installs_workrequest w ON w.id = p.work_id"
        " WHERE p.kind = 'tower lift plan' AND w.state = ? ORDER BY p.id",
        state,
    )


def cancel_packets(folder: Path) -> None:
    """The long ones: of the papers that the demo orders the lift plan is enough here."""
    with closing(sqlite3.connect(folder / DATABASE)) as link, link:
        link.execute(
            "UPDATE installs_workrequest SET state = 'cancelled', finished_at = requested_at"
            " WHERE id IN (SELECT work_id FROM installs_paper WHERE kind = 'permit packet')"
        )


def jobs(folder: Path) -> int:
    return int(rows(folder, "SELECT count(*) FROM installs_job")[0][0])


def whole_records(folder: Path) -> int:
    return int(rows(folder, "SELECT count(*) FROM installs_recordcheck WHERE faults = '[]'")[0][0])


def times_printed(folder: Path, paper: int) -> int:
    lines = rows(folder, "SELECT data FROM installs_event WHERE verb = 'paper printed'")
    return sum(json.loads(data)["paper"] == paper for (data,) in lines)


@pytest.mark.skipif(not Path("/proc").is_dir(), reason="reads /proc")
@pytest.mark.prove
def test_a_whole_life_with_a_worker_killed_in_the_middle_of_a_paper(
    start: Callable[..., Start], tmp_path: Path
) -> None:
    demo_for(tmp_path / "var")
    cancel_packets(tmp_path / "var")
    first = start()
    first.wait_for_address()
    wait_until(lambda: set(first.programs()) == set(MARKS), "web server and worker")
    assert first.health() == 200
    demo = people(tmp_path)

    # what dies is started again
    wait_until(lambda: plans(tmp_path, "running"), "a paper is being printed")
    before = first.programs()
    for pid in before.values():
        os.kill(pid, signal.SIGKILL)
    wait_until(lambda: not any(alive(pid) for pid in before.values()), "they are dead")
    [(paper, tries)] = plans(tmp_path, "running")
    wait_until(lambda: set(first.programs()) == set(before), "killed programs come again")
    assert not set(first.programs().values()) & set(before.values())
    wait_until(lambda: first.health() == 200, "the web server answers again")

    # and the paper is there once
    wait_until(lambda: paper in dict(plans(tmp_path, "done")), "the paper is printed")
    assert dict(plans(tmp_path, "done"))[paper] == tries + 1
    assert times_printed(tmp_path, paper) == 1

    # the record is gone over without anybody's asking
    wait_until(lambda: whole_records(tmp_path) == jobs(tmp_path), "every record is checked and whole")

    # a second start on the same files is refused in one line
    second = start()
    assert second.process.wait(timeout=PATIENCE_S) == 1
    assert second.said().splitlines()[-1].endswith(f"port {first.port}).")

    # Ctrl-C ends all
    pids = list(first.programs().values())
    assert first.ctrl_c() == 0, first.said()
    assert [pid for pid in pids if alive(pid)] == []
    assert "Traceback" not in first.said()

    # and the next start has everything
    again = start()
    again.wait_for_address()
    assert people(tmp_path) == demo
    # killed itself, it takes its programs with it
    wait_until(lambda: set(again.programs()) == set(MARKS), "web server and worker")
    pids = list(again.programs().values())
    if sys.platform == "linux":
        again.process.kill()
        again.process.wait(timeout=PATIENCE_S)
        wait_until(lambda: not [pid for pid in pids if alive(pid)], "orphans end")


def test_an_empty_database_asks_in_the_browser_and_loads_nothing(
    start: Callable[..., Start], tmp_path: Path
) -> None:
    schema_for(tmp_path / "var")
    first = start()
    first.wait_for_address()
    [address] = re.findall(rf"http://127\.0\.0\.1:{first.port}(/start/\?key=\S+)", first.said())
    link = http.client.HTTPConnection("127.0.0.1", first.port, timeout=PATIENCE_S)
    for path, status in ((address, 200), ("/start/", 403), (f"{address}x", 403)):
        link.request("GET", path)
        answer = link.getresponse()
        page = answer.read().decode()
        assert answer.status == status, page
    link.close()
    assert people(tmp_path) == [] and "Loading the demo" not in first.said()
    assert first.ctrl_c() == 0
    assert (tmp_path / "var" / "first-key").stat().st_mode & 0o077 == 0


def test_a_busy_port_is_one_line(start: Callable[..., Start]) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        refused = start(other.getsockname()[1])
        assert refused.process.wait(timeout=PATIENCE_S) == 1
    assert refused.said().splitlines() == [
        f"CommandError: Port {refused.port} cannot be used (Address already in use): "
        f"try another, like make run PORT={8000 + (refused.port + 1) % 1000}."
    ]


def test_it_listens_on_this_machine_only(start: Callable[..., Start]) -> None:
    from installs.work.programs import programs

    web = programs(8123)["web"]
    assert web[web.index("--bind") + 1] == "127.0.0.1:8123"
