"""A worker killed in the middle of a packet: the packet is found once."""

from __future__ import annotations

import hashlib
import signal
from pathlib import Path

import pytest

from tests.work.test_worker import Machine, machine, migrated  # noqa: F401

pytestmark = pytest.mark.slow
ORDER = Path(__file__).with_name("packet.py")


def test_a_packet_whose_worker_was_killed_is_printed_once(machine: Machine) -> None:  # noqa: F811
    def row() -> tuple[str, int, str]:
        return machine.sql("SELECT state, tries, progress_text FROM installs_workrequest")[0]

    machine.run(str(ORDER))
    machine.tick()
    worker = machine.worker()
    machine.wait_until(lambda: row()[2].startswith("Setting"))
    worker.send_signal(signal.SIGKILL)
    worker.wait()
    assert row()[0] == "running"
    machine.worker()
    machine.wait_until(lambda: row()[0] == "done")
    assert row()[1] == 2
    papers = machine.sql(
        "SELECT f.sha256 FROM installs_paper p JOIN installs_storedfile f ON f.id = p.file_id"
    )
    events = machine.sql("SELECT count(*) FROM installs_event WHERE verb = 'paper printed'")
    assert len(papers) == 1 and events == [(1,)]
    sha256 = papers[0][0]
    stored = machine.folder / "files" / sha256[:2] / sha256
    assert hashlib.sha256(stored.read_bytes()).hexdigest() == sha256
    assert len(list((machine.folder / "files").rglob("*"))) == 2  # one folder, one file
