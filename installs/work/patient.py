"""The web worker: a thread is given a request when all of it has come, and not before.

A thread of gunicorn's reads its request by itself, so that ten people with a bad line, or one with bad
intent, hold ten threads while nobody else is answered. Here the process's one poller gathers head and body
as they come, in bounded memory, and closes what stands still. What waits costs a socket and its bytes.
"""

from __future__ import annotations

import errno
import selectors
import socket
import struct
import time
from contextlib import suppress
from functools import partial
from typing import Any

from gunicorn import http
from gunicorn.workers.gthread import TConn, ThreadWorker

HEAD_WITHIN_S = 15.0
HEARD_OUT_S = 5.0  # who is refused: a connection that is cut takes the answer along
STILL_S = 20.0  # a body that does not come on for so long comes no more
BODY_WITHIN_S = 600.0  # 12 MB at 20 kB/s
ANSWER_STILL_S = 30  # who does not take an answer for so long does not want it
MOST_HEAD_BYTES = 64_000  # gunicorn's own limits of a line and of all of them are lower
MOST_BODY_BYTES = 32_000_000  # over UPLOAD_LIMIT_BYTES: what is a little too large is said on its page
MOST_HELD_BYTES = 100_000_000  # of all connections of a process together
PIECE_BYTES = 65_536

TOO_LARGE = "413 Content Too Large", "What was sent is more than is taken at once."
NO_LENGTH = "411 Length Required", "What is sent must say how long it is."
UNREADABLE = "400 Bad Request", "What was sent cannot be read."
NO_ROOM = "503 Service Unavailable", "Too much is being sent at once. Send it again in half a minute."


class Refused(Exception):
    """A request that is not read to its end: status line and words."""


class Incoming:
    """What a connection has sent of its next request."""

    def __init__(self, at: float) -> None:
        self.held = bytearray()
        self.began, self.came = at, at
        self.length: int | None = None  # of head and body, once the head has told it
        self.waits = False  # for our word before it sends its body
        self.refused_at: float | None = None  # what comes after that is let fall

    def take(self, content: bytes, at: float) -> None:
        if self.refused_at is not None:
            return
        self.came = at
        searched = max(0, len(self.held) - 3)
        self.held += content
        if self.length is None:
            end = self.held.find(b"\r\n\r\n", searched)
            if (end if end >= 0 else len(self.held)) > MOST_HEAD_BYTES:
                raise Refused(*TOO_LARGE)
            if end >= 0:
                self._read_head(bytes(self.held[:end]))
                self.length = end + 4 + self.body_length

    def _read_head(self, head: bytes) -> None:
        """The body's length, by RFC 9112 section 6.3; whatever else is wrong with it gunicorn says."""
        lengths = []
        for line in head.split(b"\r\n")[1:]:
            name, _, value = line.partition(b":")
            match name.strip().lower():
                case b"content-length":
                    lengths.append(value.strip())
                case b"transfer-encoding":
                    raise Refused(*NO_LENGTH)
                case b"expect":
                    self.waits = True
        if len(lengths) > 1 or not all(length.isdigit() and len(length) < 12 for length in lengths):
            raise Refused(*UNREADABLE)
        self.body_length = int(lengths[0]) if lengths else 0
        if self.body_length > MOST_BODY_BYTES:
            raise Refused(*TOO_LARGE)

    @property
    def is_whole(self) -> bool:
        return self.refused_at is None and self.length is not None and len(self.held) >= self.length

    def gives_up_at(self) -> float:
        if self.refused_at is not None:
            return self.refused_at + HEARD_OUT_S
        if self.length is None:
            return self.began + HEAD_WITHIN_S
        return min(self.came + STILL_S, self.began + BODY_WITHIN_S)

    def split(self) -> tuple[list[bytes], bytes]:
        """The request in pieces, and what came behind it: the beginning of the next one."""
        pieces = [
            bytes(self.held[start : min(start + PIECE_BYTES, self.length or 0)])
            for start in range(0, self.length or 0, PIECE_BYTES)
        ]
        return pieces, bytes(self.held[self.length :])


class PatientWorker(ThreadWorker):  # type: ignore[misc]  # gunicorn has no types
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.incoming: dict[Any, Incoming] = {}  # by connection, the oldest first

    def accept(self, listener: socket.socket) -> None:
        """A new connection; where there are too many, in place of the one that has waited longest."""
        try:
            client, address = listener.accept()
        except OSError as error:
            if error.errno in (errno.EMFILE, errno.ENFILE):
                self.drop_one()
            elif error.errno not in (errno.EAGAIN, errno.ECONNABORTED, errno.EWOULDBLOCK):
                raise
            return
        self.nr_conns += 1
        client.setsockopt(socket.SOL_SOCKET, socket.SO_SNDTIMEO, struct.pack("ll", ANSWER_STILL_S, 0))
        self.gather(TConn(self.cfg, client, address, listener.getsockname()), b"")
        if self.nr_conns >= self.worker_connections:
            self.drop_one()

    def gather(self, conn: Any, begun: bytes) -> None:
        """Wait for the connection's next request; ``begun`` is what came of it behind the last one."""
        conn.sock.setblocking(False)
        self.poller.register(conn.sock, selectors.EVENT_READ, partial(self.on_more, conn))
        self.incoming[conn] = Incoming(time.monotonic())
        self.take(conn, begun)

    def on_more(self, conn: Any, client: socket.socket) -> None:
        if conn not in self.incoming:
            return  # let go of since the poller saw it
        try:
            content = client.recv(PIECE_BYTES)
        except (BlockingIOError, InterruptedError):
            return
        except OSError:
            content = b""
        if not content:
            self.drop(conn)
            return
        self.take(conn, content)

    def take(self, conn: Any, content: bytes) -> None:
        """Hand over what is whole; let the largest go where all together are too much."""
        incoming = self.incoming[conn]
        try:
            incoming.take(content, time.monotonic())
        except Refused as refused:
            self.refuse(conn, *refused.args)
        if incoming.is_whole:
            self.hand_over(conn)
        elif incoming.waits and incoming.length is not None:
            incoming.waits = False
            say(conn.sock, b"HTTP/1.1 100 Continue\r\n\r\n")
        if sum(len(each.held) for each in self.incoming.values()) > MOST_HELD_BYTES:
            self.refuse(max(self.incoming, key=lambda conn: len(self.incoming[conn].held)), *NO_ROOM)

    def hand_over(self, conn: Any) -> None:
        self.poller.unregister(conn.sock)
        pieces, conn.behind = self.incoming.pop(conn).split()
        conn.parser = http.get_parser(self.cfg, pieces, conn.client)
        conn.initialized = True  # there is nothing more to be read from the socket
        self.enqueue_req(conn)

    def finish_request(self, conn: Any, fs: Any) -> None:
        """Gunicorn waits here, in the poller, until the other side closes too: nothing is left to be read."""
        goes_on = not fs.cancelled() and fs.exception() is None and fs.result() is True
        if goes_on and conn.behind:
            self.gather(conn, conn.behind)
        elif goes_on:
            super().finish_request(conn, fs)
        else:
            self.nr_conns -= 1
            conn.close()

    def on_client_socket_readable(self, conn: Any, client: socket.socket) -> None:
        """The next request on a connection that was kept."""
        self.poller.unregister(client)
        self.keepalived_conns.remove(conn)
        self.gather(conn, b"")

    def murder_pending(self) -> None:
        """Close what stands still; of a worker that stops, also what has hardly begun."""
        super().murder_pending()
        now = time.monotonic()
        for conn, incoming in list(self.incoming.items()):
            if incoming.gives_up_at() < now or (not self.alive and incoming.length is None):
                self.drop(conn)

    def drop_one(self) -> None:
        """One that is still at its head before one that sends a photo."""
        if self.incoming:
            self.drop(min(self.incoming, key=lambda conn: self.incoming[conn].length is not None))

    def drop(self, conn: Any) -> None:
        self.incoming.pop(conn, None)
        self.poller.unregister(conn.sock)
        self.nr_conns -= 1
        conn.close()

    def refuse(self, conn: Any, status: str, words: str) -> None:
        """Say why, and hear the rest out for a moment without keeping it."""
        incoming = self.incoming[conn]
        incoming.refused_at, incoming.held = time.monotonic(), bytearray()
        head = f"HTTP/1.1 {status}\r\nConnection: close\r\nContent-Type: text/plain; charset=utf-8\r\n"
        again = "Retry-After: 30\r\n" if status.startswith("503") else ""
        say(conn.sock, f"{head}{again}Content-Length: {len(words)}\r\n\r\n{words}".encode())
        with suppress(OSError):
            conn.sock.shutdown(socket.SHUT_WR)


def say(sock: socket.socket, words: bytes) -> None:
    """A few words at once or not at all: the poller waits for nobody."""
    with suppress(OSError):
        sock.send(words)
