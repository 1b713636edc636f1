"""The message folder: whole messages, each to one taker, broken ones set aside."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from queue import Empty
from typing import Any

import pytest
from kombu import Connection

from installs.work import filebroker


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    filebroker.make_folders(tmp_path)
    return tmp_path


@pytest.fixture
def queue(folder: Path) -> Iterator[Any]:
    with Connection(f"{filebroker.ALIAS}://localhost/", transport_options={"folder": str(folder)}) as link:
        yield link.SimpleQueue("papers")


def send(queue: Any, number: int) -> None:
    queue.put({"number": number}, headers={"task": "installs.tasks.look"})


def receive(queue: Any) -> int:
    message = queue.get(block=False)
    message.ack()
    return int(message.payload["number"])


def test_messages_come_in_the_order_sent_and_once(queue: Any) -> None:
    for number in range(5):
        send(queue, number)
    assert [receive(queue) for _ in range(5)] == [0, 1, 2, 3, 4]
    with pytest.raises(Empty):
        receive(queue)


def test_another_process_takes_what_this_one_sent(folder: Path, queue: Any) -> None:
    send(queue, 1)
    with Connection(f"{filebroker.ALIAS}://localhost/", transport_options={"folder": str(folder)}) as other:
        assert receive(other.SimpleQueue("papers")) == 1


@pytest.mark.parametrize("content", ["", '{"body": "cut sh', "null", "[]", '{"body": 1}', "\udcff"])
def test_a_broken_message_is_set_aside_and_the_next_one_taken(folder: Path, queue: Any, content: str) -> None:
    broken = folder / "messages" / "00000000000000000001_a.papers.msg"
    broken.write_bytes(content.encode("utf-8", "surrogateescape"))
    send(queue, 7)
    assert receive(queue) == 7
    assert [f.name for f in (folder / "broken").iterdir()] == [broken.name]


def test_an_unfinished_message_is_not_seen(folder: Path, queue: Any) -> None:
    (folder / "taken" / "00000000000000000001_a.papers.msg.part").write_text('{"bo')
    with pytest.raises(Empty):
        receive(queue)


def test_a_folder_that_somebody_emptied_is_made_again(folder: Path, queue: Any) -> None:
    for name in filebroker.FOLDERS:
        (folder / name).rmdir()
    send(queue, 3)
    assert receive(queue) == 3


def test_another_queue_is_left_alone(folder: Path, queue: Any) -> None:
    send(queue, 1)
    link = Connection(f"{filebroker.ALIAS}://localhost/", transport_options={"folder": str(folder)})
    with link as other, pytest.raises(Empty):
        receive(other.SimpleQueue("plans"))
    assert queue.qsize() == 1
    queue.clear()
    assert queue.qsize() == 0
