"""Slow senders to the web server as ``make run`` starts it, without a proxy: is anybody kept waiting?

``python tests/bench/slow_senders.py``. A stranger opens 200 connections: forty send half a head and no more,
ten a byte of a sign-in's body now and then, the rest nothing. Meanwhile a page is asked for again and again.
Ends with an error when one answer took longer than WITHIN_S; with a thread for each it was more than 60 s.
"""

from __future__ import annotations

import http.client
import os
import re
import socket
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "installs.settings")

from tests.bench.office import Office

HEADS, BODIES, SILENT = 40, 10, 150
ASKED, WITHIN_S = 200, 5.0


def connection(port: int, sent: bytes) -> socket.socket:
    link = socket.create_connection(("127.0.0.1", port), timeout=10)
    link.sendall(sent)
    return link


def sign_in_head(port: int) -> bytes:
    """With the page's own token, so that the server has reason to read the body."""
    link = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    link.request("GET", "/sign-in/")
    answer = link.getresponse()
    cookie = answer.headers["Set-Cookie"].partition(";")[0]
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', answer.read().decode())
    assert token
    return (
        f"POST /sign-in/ HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nCookie: {cookie}\r\n"
        f"X-CSRFToken: {token[1]}\r\nContent-Type: application/x-www-form-urlencoded\r\n"
        "Content-Length: 500\r\n\r\nuser"
    ).encode()


def longest_wait(port: int, slow: list[socket.socket]) -> float:
    """Of ASKED answers, while each of the slow ones sends another byte of its body between two of them."""
    longest = 0.0
    for _ in range(ASKED):
        for link in slow:
            link.sendall(b"n")
        began = time.monotonic()
        link = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        link.request("GET", "/health")
        assert link.getresponse().status == 200
        link.close()
        longest = max(longest, time.monotonic() - began)
    return longest


def main() -> int:
    with tempfile.TemporaryDirectory() as folder:
        office = Office(Path(folder))
        office.start()
        held: list[socket.socket] = []
        try:
            head = sign_in_head(office.port)
            bodies = [connection(office.port, head) for _ in range(BODIES)]
            half = b"GET /sign-in/ HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Slow: "
            held = bodies + [connection(office.port, half) for _ in range(HEADS)]
            held += [connection(office.port, b"") for _ in range(SILENT)]
            took = longest_wait(office.port, bodies)
        finally:
            for link in held:
                link.close()
            office.kill()
    print(
        f"{HEADS} half-sent heads, {BODIES} slow bodies, {SILENT} silent connections: "
        f"{ASKED} pages answered, the slowest in {took * 1000:.0f} ms"
    )
    return 1 if took > WITHIN_S else 0


if __name__ == "__main__":
    raise SystemExit(main())
