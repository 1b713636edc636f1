"""The proxy with the very words of docker-compose.yml before the web server: what stands still waits alone.

Caddy is found on the path (Debian: ``apt-get install caddy``); without it these are skipped.
"""

from __future__ import annotations

import http.client
import json
import os
import re
import shutil
import socket
import subprocess
from collections.abc import Iterator
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import yaml

from tests.prepared import schema_for
from tests.served import ROOT, answering, free_port, served

CADDY = shutil.which("caddy")
pytestmark = [pytest.mark.skipif(CADDY is None, reason="caddy is not installed"), pytest.mark.slow]
SLOW = 10


def caddyfile(site: str, web: str) -> str:
    """As the compose file has it. Before 2.6.4 the same buffer had two other words (its release notes)."""
    compose = yaml.safe_load((ROOT / "docker-compose.yml").read_text(encoding="utf-8"))
    text: str = compose["configs"]["proxy"]["content"]
    text = re.sub(r"\$\{SITE[^}]*\}", site, text).replace("web:8000", web)
    said = subprocess.run([str(CADDY), "version"], capture_output=True, text=True, check=True).stdout
    version = tuple(int(part) for part in re.findall(r"\d+", said)[:3])
    if version < (2, 6, 4):
        text = re.sub(r"request_buffers (\w+)", r"buffer_requests\n    max_buffer_size \1", text)
    return text


def run(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    env = {"PATH": os.environ["PATH"], "HOME": str(folder)}
    return subprocess.run(
        [str(CADDY), *words, "--adapter", "caddyfile"], env=env, capture_output=True, text=True, check=False
    )


def test_it_reads_every_word_and_each_of_its_ports_has_an_end_to_waiting(tmp_path: Path) -> None:
    """Port 80 too, where a stranger's half-sent head would else stay for as long as they like."""
    file = tmp_path / "Caddyfile"
    file.write_text(caddyfile("jobs.example.com", "web:8000"))
    read = run(tmp_path, "adapt", "--validate", "--config", str(file))
    assert read.returncode == 0, read.stderr
    servers: dict[str, Any] = json.loads(read.stdout)["apps"]["http"]["servers"]
    ports = {port for server in servers.values() for port in server["listen"]}
    assert ports == {":80", ":443"}
    for server in servers.values():
        assert server["read_header_timeout"] == 15 * 10**9 and server["max_header_bytes"] == 64 * 1024
        assert min(server[f"{what}_timeout"] for what in ("read", "write", "idle")) > 0
    spoiled = file.read_text().replace("max_size", "most_size")
    file.write_text(spoiled)
    assert run(tmp_path, "adapt", "--config", str(file)).returncode != 0, "a word it does not know is refused"


@dataclass
class Proxied:
    port: int
    log: Path

    def ask(self, method: str, path: str, body: bytes = b"", **head: str) -> http.client.HTTPResponse:
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        link.request(method, path, body or None, head)
        answer = link.getresponse()
        answer.read()
        link.close()
        return answer


@pytest.fixture
def proxied(tmp_path: Path) -> Iterator[Proxied]:
    """On plain http, for there is no certificate for this machine; all else as it is."""
    schema_for(tmp_path)
    env = {**os.environ, "VAR_DIR": str(tmp_path), "DJANGO_SETTINGS_MODULE": "installs.settings"}
    port, file, log = free_port(), tmp_path / "Caddyfile", tmp_path / "web.log"
    with served(env, log) as web:
        text = caddyfile(f"http://127.0.0.1:{port}", f"127.0.0.1:{web.port}")
        file.write_text(text.replace("http:// {\n}\n", "").replace("{\n", "{\n  admin off\n", 1))
        here = {"PATH": os.environ["PATH"], "HOME": str(tmp_path)}
        words = [str(CADDY), "run", "--config", str(file), "--adapter", "caddyfile"]
        with (tmp_path / "proxy.log").open("wb") as out:
            proxy = subprocess.Popen(words, env=here, stdout=out, stderr=out)
            try:
                answering(port, proxy).close()
                yield Proxied(port, log)
            finally:
                proxy.terminate()
                proxy.wait()


def test_ten_slow_senders_keep_nobody_waiting(proxied: Proxied) -> None:
    """Each has sent a head and a part of its body: none of them has reached a thread of the server.

    The server here is one process of four threads, as each of a firm's: ten of them would stop it.
    """
    head = (
        f"POST /sign-in/ HTTP/1.1\r\nHost: 127.0.0.1:{proxied.port}\r\n"
        "Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 500\r\n\r\nuser"
    ).encode()
    slow = [socket.create_connection(("127.0.0.1", proxied.port), timeout=60) for _ in range(SLOW)]
    try:
        for link in slow:
            link.sendall(head)
        for _ in range(20):
            for link in slow:
                link.sendall(b"n")
            assert proxied.ask("GET", "/sign-in/").status == 200
        said = proxied.log.read_text()
        assert said.count("GET /sign-in/") == 20 and "POST /sign-in/" not in said
    finally:
        for link in slow:
            link.close()


def test_more_than_a_request_holds_is_refused_in_words_and_asked_of_no_view(proxied: Proxied) -> None:
    """RFC 9110, 15.5.14: 413. The words are the web server's, which knows the length from the head."""
    head = f"POST /api/photos/ HTTP/1.1\r\nHost: 127.0.0.1:{proxied.port}\r\nContent-Length: 40000000\r\n\r\n"
    with closing(socket.create_connection(("127.0.0.1", proxied.port), timeout=60)) as link:
        link.sendall(head.encode())
        with suppress(BrokenPipeError, ConnectionResetError):
            for _ in range(40):
                link.sendall(b"x" * 1_000_000)
        answer = link.recv(65536)
    assert answer.startswith(b"HTTP/1.1 413 ") and b"more than is taken at once" in answer
    assert "/api/photos/" not in proxied.log.read_text()
