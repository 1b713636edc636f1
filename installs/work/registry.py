"""Kinds of background work, registered by name.

A room with background work declares it in its ``kinds.py``::

    @kind("papers.packet", queue="papers", keep=keep_packet)
    def render_packet(work: Work) -> Any: ...

The function does the slow part outside any transaction. ``keep(request, outcome)`` runs in the
transaction that marks the request done and returns the JSON result; without it the outcome itself
is the result. Work that was begun twice (a worker died, a lease ran out) is thus kept once.
"""

from __future__ import annotations

import pkgutil
from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from importlib.util import find_spec
from typing import Any

from django.apps import apps

from installs.work.queues import QUEUES


@dataclass(frozen=True)
class Kind:
    name: str
    queue: str
    do: Callable[[Any], Any]
    keep: Callable[[Any, Any], Any]
    limit_s: int
    nightly: bool = False


KINDS: dict[str, Kind] = {}


def outcome_is_result(request: Any, outcome: Any) -> Any:
    return outcome


def kind(
    name: str,
    *,
    queue: str,
    keep: Callable[[Any, Any], Any] = outcome_is_result,
    limit_s: int = 600,
    nightly: bool = False,
) -> Callable[[Callable[[Any], Any]], Callable[[Any], Any]]:
    """Register a function as a kind of work.

    ``limit_s`` [s]: a run that takes longer is stuck; its worker process ends itself and the
    request is tried again, as after a crash. ``nightly``: asked for by itself once a night, without
    arguments (services.request_nightly).
    """
    if queue not in QUEUES:
        raise ValueError(f"no queue {queue!r}: {', '.join(QUEUES)}")

    def register(do: Callable[[Any], Any]) -> Callable[[Any], Any]:
        known = KINDS.get(name)
        if known and known.do.__module__ != do.__module__:
            raise ValueError(f"kind {name!r} is registered by {known.do.__module__} already")
        KINDS[name] = Kind(name=name, queue=queue, do=do, keep=keep, limit_s=limit_s, nightly=nightly)
        return do

    return register


def kind_named(name: str) -> Kind | None:
    if name not in KINDS:
        load_kinds()
    return KINDS.get(name)


def nightly_kinds() -> list[Kind]:
    load_kinds()
    return [kind for kind in KINDS.values() if kind.nightly]


def load_kinds() -> None:
    """Import ``kinds.py`` of every room of the project's own apps, whichever they are."""
    for app in apps.get_app_configs():
        if app.module is None or "site-packages" in app.path:
            continue
        for room in pkgutil.iter_modules([app.path]):
            if room.ispkg and find_spec(f"{app.name}.{room.name}.kinds"):
                import_module(f"{app.name}.{room.name}.kinds")
