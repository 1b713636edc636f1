"""Temperatures of the field record as traces by sensor: read by hand, and from loggers' files.

A reading that was taken back with nothing in its place is not forgotten: it stays in ``written``, the
traces as they were first written, and the cure is counted by whichever of the two is worth less.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from installs.checklists.models import Entry
from installs.files.keeping import NotWhole, read_bytes
from installs.files.models import StoredFile
from sitecalc.inputs import InputError
from sitecalc.pour.curing import SensorOut
from sitecalc.pour.logger import LoggerLog, decoded, parse_log
from sitecalc.pour.readings import Trace, Traces, fahrenheit, is_temperature, merged, said, zone_of
from sitecalc.wording import quantity_words

CONCRETE, AIR = "E03", "D06"


@dataclass(frozen=True)
class Temperatures:
    """``written`` is empty while nothing was taken back."""

    concrete: Traces
    air: Traces
    taken_out: tuple[SensorOut, ...] = ()
    written: Traces = field(default_factory=dict)
    faults: tuple[str, ...] = ()


def sensor_of(entry: Entry) -> str:
    name = " ".join(entry.subject.lower().split())
    if entry.code == AIR or is_air(name):
        return "air"
    return name or "by hand"


def is_air(sensor: str) -> bool:
    return re.search(r"\b(air|ambient)\b", sensor.lower()) is not None


def temperatures_of(entries: Iterable[Entry], by_pk: Mapping[int, Entry], zone: str) -> Temperatures:
    """From standing entries; one query for all files of theirs. ``by_pk`` also holds the corrected ones."""
    taken = list(entries)
    reader = _Reader([*taken, *by_pk.values()], zone)
    traces: list[Trace] = []
    back: list[Trace] = []
    out: list[SensorOut] = []
    for entry in taken:
        if entry.said.get("removed"):
            out.append(SensorOut(sensor_of(entry), entry.happened_at))
        stands = reader.traces(entry, told=True)
        traces += stands
        if all(t.air for t in stands) and not entry.said.get("removed"):
            back += _taken_back(entry, by_pk, reader)
    site = zone_of(zone)
    concrete, doubles = merged([t for t in traces if not t.air], site)
    air, _ = merged([t for t in traces if t.air], site)
    written = merged([*(t for t in traces if not t.air), *back], site)[0] if back else {}
    words = tuple(
        f"{t.sensor}: {_how_many(t)} of {said(t.last_at, site)} taken back with nothing in its place; "
        "it still counts where it makes the pad younger."
        for t in back
    )
    return Temperatures(concrete, air, tuple(out), written, (*reader.faults, *doubles, *words))


def _how_many(trace: Trace) -> str:
    return f"the reading of {trace.temp_f[0]:.0f} F" if len(trace) == 1 else f"{len(trace):,} readings to"


def _taken_back(entry: Entry, by_pk: Mapping[int, Entry], reader: _Reader) -> list[Trace]:
    """Concrete temperatures that an entry without one, or one of air, stands in the place of."""
    found: list[Trace] = []
    corrected = _corrected(entry, by_pk)
    while corrected is not None:
        found += [t for t in reader.traces(corrected) if not t.air]
        corrected = _corrected(corrected, by_pk)
    return found


def _corrected(entry: Entry, by_pk: Mapping[int, Entry]) -> Entry | None:
    return None if entry.corrects_id is None else by_pk.get(entry.corrects_id)


class _Reader:
    """Reads entries as traces; what cannot be read is said once in ``faults``."""

    def __init__(self, entries: Iterable[Entry], zone: str) -> None:
        self.zone, self.faults = zone, list[str]()
        wanted = {e.said["file"] for e in entries if e.said.get("file")}
        self.files = {f.sha256: f for f in StoredFile.objects.filter(sha256__in=wanted)} if wanted else {}

    def traces(self, entry: Entry, *, told: bool = False) -> list[Trace]:
        """No trace for an entry without a temperature; a fault is only written down where ``told``."""
        if entry.said.get("file"):
            return self._of_file(entry, told)
        if entry.reading is None:
            return []
        sensor = sensor_of(entry)
        temp_f = fahrenheit(entry.reading) if entry.unit.strip("° ").upper() == "C" else entry.reading
        if not is_temperature(temp_f):
            if told:
                read = quantity_words(entry.reading, entry.unit)
                self.faults.append(f"{sensor}: {read} is no temperature; it counts nothing.")
            return []
        at_s = np.array([entry.happened_at.timestamp()])
        return [Trace(sensor, at_s, np.array([float(temp_f)]), sensor == "air")]

    def _of_file(self, entry: Entry, told: bool) -> list[Trace]:
        file, how = self.files.get(entry.said["file"]), entry.said.get("read", {})
        try:
            if file is None:
                raise InputError("file", "is not in the storage.")
            log = logger_log(
                (file.sha256, file.size_bytes, file.label), self.zone, how.get("unit", "F"),
                how.get("clock", "site"), how.get("sure", False),
            )  # fmt: skip
        except (InputError, NotWhole, OSError) as error:
            reason = "cannot be read."
            if isinstance(error, InputError):
                reason = error.message
            elif isinstance(error, NotWhole):
                reason = f"is not as it was taken: {error.fault}."
            name = entry.text or "without a name"
            if told:
                self.faults.append(f"Logger file {name} {reason} Its readings count nothing.")
            return []
        return [*log.concrete, *log.air]


@lru_cache(maxsize=12)
def logger_log(row: tuple[str, int, str], zone: str, unit: str, clock: str, sure: bool) -> LoggerLog:
    """The readings of a stored file: the same bytes read the same way are the same readings. Or NotWhole.

    ``row`` is the file's SHA-256, length and label, as whoever asks has them. It is read as it was taken:
    a file on record is not refused for cells that were passed over then.
    """
    sha256, size_bytes, label = row
    return parse_log(
        decoded(read_bytes(StoredFile(sha256=sha256, size_bytes=size_bytes, label=label))),
        zone=zone,
        unit=unit,
        clock=clock,
        sure=sure,
        taken=True,
    )
