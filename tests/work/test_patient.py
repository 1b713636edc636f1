"""A request takes a thread when all of it has come: slow senders keep nobody waiting."""

from __future__ import annotations

import hashlib
import http.client
import socket
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing
from pathlib import Path

import pytest

from installs.work.patient import (
    BODY_WITHIN_S,
    HEAD_WITHIN_S,
    MOST_BODY_BYTES,
    MOST_HEAD_BYTES,
    STILL_S,
    Incoming,
    Refused,
)
from installs.work.programs import programs
from tests.served import PATIENCE_S

ROOT = Path(__file__).resolve().parents[2]
HEAD = b"POST /a HTTP/1.1\r\nHost: here\r\nContent-Length: 5\r\n\r\n"


@pytest.fixture(scope="module")
def port(tmp_path_factory: pytest.TempPathFactory) -> Iterator[int]:
    """One process of two threads, started by the words of ``make run``."""
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        number = int(trial.getsockname()[1])
    command = ["echo:app" if w == "installs.wsgi:application" else w for w in programs(number)["web"]]
    command += ["--workers", "1", "--threads", "2", "--pythonpath", str(Path(__file__).parent)]
    log = tmp_path_factory.mktemp("patient") / "web.log"
    with log.open("wb") as said:
        server = subprocess.Popen(command, cwd=ROOT, stdout=said, stderr=said)
    give_up = time.monotonic() + PATIENCE_S
    while True:
        try:
            socket.create_connection(("127.0.0.1", number), timeout=PATIENCE_S).close()
            break
        except OSError:
            assert server.poll() is None and time.monotonic() < give_up, log.read_text()
            time.sleep(0.05)
    yield number
    server.terminate()
    assert server.wait(timeout=PATIENCE_S) == 0
    assert "Traceback" not in log.read_text()


Dial = Callable[[bytes], socket.socket]


@pytest.fixture
def dial(port: int) -> Iterator[Dial]:
    """A connection on which this has been sent."""
    with ExitStack() as held:

        def dialed(sent: bytes) -> socket.socket:
            link = held.enter_context(socket.create_connection(("127.0.0.1", port), timeout=20))
            link.sendall(sent)
            return link

        yield dialed


def answer(link: socket.socket) -> tuple[int, str]:
    with closing(http.client.HTTPResponse(link)) as told:
        told.begin()
        return told.status, told.read().decode()


def told_of(path: str, body: bytes) -> str:
    return f"{path} {len(body)} {hashlib.sha256(body).hexdigest()}"


def test_slow_senders_keep_nobody_waiting(dial: Dial) -> None:
    """Five times as many as there are threads, each in the middle of a head or of a body."""
    slow = [dial(HEAD + b"ab") for _ in range(10)] + [dial(HEAD[:20]) for _ in range(40)]
    assert answer(dial(b"GET /quick HTTP/1.1\r\nHost: here\r\n\r\n")) == (200, told_of("/quick", b""))
    for link in slow[:10]:  # and what comes late is taken
        link.sendall(b"cde")
    assert {answer(link) for link in slow[:10]} == {(200, told_of("/a", b"abcde"))}


def test_who_does_not_hang_up_after_the_answer_keeps_nobody_waiting(dial: Dial) -> None:
    """Ours is the last word on a connection that is to be closed."""
    last = b"GET /last HTTP/1.1\r\nHost: here\r\nConnection: close\r\n\r\n"
    open_still = [dial(last) for _ in range(20)]
    for link in open_still:
        assert answer(link)[0] == 200
        assert link.recv(1) == b""


def test_a_large_body_in_pieces_is_whole(dial: Dial) -> None:
    body = bytes(range(256)) * 47_000  # 12 MB, the largest file that is taken
    link = dial(f"POST /large HTTP/1.1\r\nHost: here\r\nContent-Length: {len(body)}\r\n\r\n".encode())
    for start in range(0, len(body), 1_000_003):
        link.sendall(body[start : start + 1_000_003])
    assert answer(link) == (200, told_of("/large", body))


def test_requests_behind_one_another_are_answered_in_their_order(dial: Dial) -> None:
    """RFC 9112, section 9.3.2: a client may send the next before the answer to the last."""
    link = dial(HEAD + b"first" + HEAD.replace(b"/a", b"/b") + b"other" + HEAD[:9])
    link.sendall(HEAD.replace(b"/a", b"/c")[9:] + b"third")
    told = [told_of("/a", b"first"), told_of("/b", b"other"), told_of("/a", b"third")]
    heard = ""
    while heard.count("200 OK") < 3 or not heard.endswith(told[2]):
        more = link.recv(1000)
        assert more, heard
        heard += more.decode()
    assert [line for line in heard.replace("HTTP/1.1", "\n").splitlines() if line.startswith("/")] == told


def test_who_asks_first_is_told_to_go_on(dial: Dial) -> None:
    """RFC 9110, section 10.1.1."""
    link = dial(HEAD.replace(b"Host", b"Expect: 100-continue\r\nHost"))
    assert link.recv(100).startswith(b"HTTP/1.1 100 ")
    link.sendall(b"abcde")
    assert answer(link) == (200, told_of("/a", b"abcde"))


@pytest.mark.parametrize(
    ("said", "status"),
    [
        (b"Content-Length: 40000000", 413),
        (b"Transfer-Encoding: chunked", 411),
        (b"Content-Length: 5\r\nContent-Length: 6", 400),
        (b"Content-Length: -5", 400),
        (b"X: " + b"x" * 70_000, 413),
    ],
)
def test_what_is_not_read_to_its_end_is_answered(dial: Dial, said: bytes, status: int) -> None:
    """RFC 9110 and 9112: which status says what."""
    assert answer(dial(HEAD.replace(b"Content-Length: 5", said)))[0] == status


def test_who_is_refused_hears_why_though_he_goes_on_sending(dial: Dial) -> None:
    """RFC 9112, section 9.6: a connection that is cut while there is more to read loses its answer."""
    link = dial(HEAD.replace(b"Content-Length: 5", b"Content-Length: 40000000"))
    for _ in range(20):
        link.sendall(b"x" * 500_000)
    assert answer(link)[0] == 413


def test_what_stands_still_is_given_up() -> None:
    begun = Incoming(at=100.0)
    begun.take(HEAD[:20], at=101.0)
    begun.take(HEAD[20:30], at=110.0)
    assert begun.gives_up_at() == 100.0 + HEAD_WITHIN_S  # a head has one time, however it comes
    begun.take(HEAD[30:], at=112.0)
    assert begun.gives_up_at() == 112.0 + STILL_S
    begun.take(b"a", at=125.0)
    assert begun.gives_up_at() == 125.0 + STILL_S
    begun.came = 100.0 + BODY_WITHIN_S
    assert begun.gives_up_at() == 100.0 + BODY_WITHIN_S


def test_a_form_over_the_limit_of_a_file_is_still_answered_by_its_page(settings) -> None:
    assert MOST_BODY_BYTES > 2 * settings.UPLOAD_LIMIT_BYTES
    with pytest.raises(Refused):
        Incoming(at=0.0).take(b"G" * (MOST_HEAD_BYTES + 1), at=0.0)
