"""A message folder for one machine: kombu's filesystem transport, made safe against half-written files.

kombu writes a message under its final name, so that a reader can take it while it is still empty,
and a message that is no JSON ends the worker. Here a message appears whole or not at all, and a
broken one is set aside in ``broken/`` for whoever wants to look. The exchange tables stay in memory:
each process declares its own queues, and a table file cut short by a power failure would keep every
worker from starting.
"""

from __future__ import annotations

import logging
import os
import time
import uuid
from pathlib import Path
from queue import Empty
from typing import Any

from kombu.transport import TRANSPORT_ALIASES, filesystem, virtual
from kombu.utils.json import dumps, loads

log = logging.getLogger(__name__)

ALIAS = "messagefolder"
FOLDERS = ("messages", "taken", "broken")


def make_folders(root: Path) -> None:
    for name in FOLDERS:
        (root / name).mkdir(parents=True, exist_ok=True)


class Channel(filesystem.Channel):
    supports_fanout = False
    get_table = virtual.Channel.get_table
    _delete = virtual.Channel._delete

    @property
    def root(self) -> Path:
        return Path(self.transport_options["folder"])

    @property
    def data_folder_in(self) -> str:
        return str(self.root / "messages")

    def _put(self, queue: str, payload: Any, **kwargs: Any) -> None:  # type: ignore[override]  # kombu's two bases differ
        name = f"{time.time_ns():020d}_{uuid.uuid4().hex}.{queue}.msg"
        unfinished = self.root / "taken" / f"{name}.part"
        text = dumps(payload)  # type: ignore[no-untyped-call]  # kombu has no types
        try:
            unfinished.write_text(text, encoding="utf-8")
        except FileNotFoundError:  # somebody emptied var/ while we ran
            make_folders(self.root)
            unfinished.write_text(text, encoding="utf-8")
        os.replace(unfinished, self.root / "messages" / name)

    def _get(self, queue: str, timeout: Any = None) -> Any:
        for name in sorted(self.names(queue)):
            taken = self.root / "taken" / name
            try:
                os.replace(self.root / "messages" / name, taken)
            except FileNotFoundError:
                continue  # another worker took it
            try:
                payload = loads(taken.read_text(encoding="utf-8"))  # type: ignore[no-untyped-call]  # kombu has no types
                payload["properties"]["delivery_tag"], payload["headers"]["task"]
            except (ValueError, KeyError, TypeError):
                os.replace(taken, self.root / "broken" / name)
                log.warning("a broken message was set aside in %s", self.root / "broken" / name)
                continue
            taken.unlink()
            return payload
        raise Empty

    def names(self, queue: str) -> list[str]:
        try:
            return [n for n in os.listdir(self.data_folder_in) if n.partition(".")[2] == f"{queue}.msg"]
        except FileNotFoundError:
            make_folders(self.root)
            return []

    def _size(self, queue: str) -> int:
        return len(self.names(queue))

    def _purge(self, queue: str) -> int:
        names = self.names(queue)
        for name in names:
            (self.root / "messages" / name).unlink(missing_ok=True)
        return len(names)


class Transport(filesystem.Transport):
    Channel = Channel
    global_state = virtual.BrokerState()  # type: ignore[no-untyped-call]  # kombu has no types


TRANSPORT_ALIASES[ALIAS] = f"{__name__}:Transport"
