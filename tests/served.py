"""The web server in a process of its own, started by the words of docker-compose.yml."""

from __future__ import annotations

import http.client
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import yaml

ROOT = Path(__file__).resolve().parents[1]
# on a busy machine; where nothing is wrong nobody waits so long
PATIENCE_S = 240


def free_port() -> int:
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        return int(trial.getsockname()[1])


def answering(port: int, server: subprocess.Popen[bytes]) -> http.client.HTTPConnection:
    """A connection, once somebody listens; whoever asks sees it fail where the server has ended."""
    link = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)
    while server.poll() is None:
        with suppress(OSError):
            link.connect()
            break
        time.sleep(0.1)
    return link


@contextmanager
def served(env: dict[str, str], log: Path) -> Iterator[http.client.HTTPConnection]:
    """The web server by the words of docker-compose.yml, one process, all that it says in ``log``."""
    command = yaml.safe_load((ROOT / "docker-compose.yml").read_text())["services"]["web"]["command"][3:]
    port = free_port()
    ours = {"--bind": f"127.0.0.1:{port}", "--workers": "1"}
    words = [f"{w.partition('=')[0]}={ours[w.partition('=')[0]]}" if w.partition("=")[0] in ours else w
             for w in command]  # fmt: skip
    with log.open("wb") as out:
        server = subprocess.Popen(
            [sys.executable, "-m", "gunicorn", *words], cwd=ROOT, env=env, stdout=out, stderr=out
        )
        link = None
        try:
            link = answering(port, server)
            yield link
        finally:
            if link is not None:
                link.close()
            server.terminate()
            server.wait()
