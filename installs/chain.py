"""Chains of hashes: one spelling of what is hashed, and what of a chain no longer holds.

Each line of a log holds the hash of the line before it and its own, so that a line altered, taken out or put
between is found (installs/jobs/sealing.py, installs/people/firm_log.py).
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any, Protocol, TypeVar

START_OF_CHAIN = "0" * 64


MINUS_ZERO = re.compile(r"-0\.0(?![0-9])")


def canonical(value: Any) -> str:
    """JSON in one spelling, for hashes."""
    text = _spelled(value)
    # a release has ten thousand values and hardly ever a zero with a sign: only then is each looked at
    return _spelled(_one_zero(value)) if MINUS_ZERO.search(text) else text


def _spelled(value: Any) -> str:
    return json.dumps(
        value,
        sort_keys=True,
        separators=(",", ":"),
        ensure_ascii=False,
        allow_nan=False,
        default=_plain,
    )


def _plain(value: Any) -> Any:
    """Of what JSON has no form for."""
    return dict(value) if isinstance(value, Mapping) else str(value)


def _one_zero(value: Any) -> Any:
    """-0.0 as 0.0: a database may give back either for the other."""
    if isinstance(value, float):
        return value + 0.0
    if isinstance(value, Mapping):
        return {key: _one_zero(each) for key, each in value.items()}
    if isinstance(value, (list, tuple)):
        return [_one_zero(each) for each in value]
    return value


def digest(value: Any) -> str:
    return hashlib.sha256(canonical(value).encode()).hexdigest()


def is_hash_of(sealed: str, make: Callable[[], str]) -> bool:
    """Whether hashing gives what was sealed; what can no longer be hashed at all was altered."""
    try:
        return sealed == make()
    except (TypeError, ValueError, AttributeError):  # no instant, no object, a number that is none
        return False


class Line(Protocol):
    sequence: int
    previous_hash: str
    hash: str


Kind = TypeVar("Kind", bound=Line)


def faults_of_chain(lines: Iterable[Kind], is_as_sealed: Callable[[Kind], bool]) -> list[str]:
    """Every break in words, from all lines in their order; empty when the chain is whole."""
    faults, previous, expected = [], START_OF_CHAIN, 1
    for line in lines:
        if line.sequence != expected:
            faults.append(f"line {expected} is missing")
        if line.previous_hash != previous:
            faults.append(f"line {line.sequence} does not follow the line before it")
        if not is_as_sealed(line):
            faults.append(f"line {line.sequence} was altered")
        previous, expected = line.hash, line.sequence + 1
    return faults
