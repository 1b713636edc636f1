"""README.txt of an archive: what is in it, for whoever opens it in twenty years."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from datetime import datetime

from installs.export.tables import Table
from installs.jobs.models import Job
from installs.record.models import RecordCheck
from sitecalc.wording import clock_words, day_words


def read_me(
    job: Job,
    check: RecordCheck,
    at: datetime,
    counts: Mapping[str, int],
    every: Sequence[Table],
    missing: Sequence[str],
) -> str:
    now, checked = job.local(at), job.local(check.checked_at)
    when = f"{day_words(now, year=True)}, {clock_words(now)}"
    state = (
        "BROKEN. What was found:\n" + "\n".join(f"  - {fault}." for fault in check.faults)
        if check.faults
        else "whole: nothing was altered, taken out or put in since it was written."
    )
    spoiled = "".join(f"  - {name}\n" for name in missing)
    parts = [
        f"Job {job.number}, {job.owner}, {job.place}, {job.county}, {job.state}",
        f"Everything on record of this job, written {when} (site time, {job.zone}).",
        _wrapped(
            "Nothing but a reader of text, spreadsheets, PDFs and pictures is needed. job.json has all of it "
            "for programs."
        ),
        f"THE RECORD was checked {day_words(checked, year=True)}, {clock_words(checked)}: {check.in_words}.\n"
        f"It is {state}",
        "FILES THAT WERE NOT AS THEY WERE TAKEN, or are missing:\n" + spoiled if missing else "",
        "WHAT IS IN IT\n" + _folders() + _tables(counts, every),
        _hashes(),
    ]
    return "\n\n".join(part.strip("\n") for part in parts if part) + "\n"


def _wrapped(words: str) -> str:
    return textwrap.fill(words, 98)


def _folders() -> str:
    lines = (
        ("papers/", "every printed paper as PDF, and beside it the figures it was printed from"),
        ("sealed sheets/", "what the engineer sealed, as it was received"),
        ("letters/", "permits, notices, inspections' cards, engineers' letters"),
        ("photos/", "by list item, subject, day at the site, and number of the entry"),
        ("logger files/", "readings of loggers as they were read in"),
        ("torque log.csv", "each pass, bolt and check of the tower's joints"),
        ("job.json", "all tables below, with the hashes of the record"),
        ("SHA256SUMS", "a hash of each file: sha256sum --check SHA256SUMS"),
    )
    return "".join(f"  {name:<18} {words}\n" for name, words in lines)


def _tables(counts: Mapping[str, int], every: Sequence[Table]) -> str:
    said = []
    for table in every:
        if table.name in counts:
            rows = counts[table.name]
            line = f"{table.name}.csv ({rows} row{'' if rows == 1 else 's'})"
            what = f": {table.what}" if table.what else ""
            said.append(textwrap.fill(f"{line}{what}", 98, initial_indent="  ", subsequent_indent="    "))
    return "\n".join(said)


def _hashes() -> str:
    return "HOW TO READ IT\n" + "\n".join(
        _wrapped(words)
        for words in (
            "job.json: {format, job, numbers, written_at, record, tables}. tables has each table by its "
            "name, with what it is and its rows. A row has its columns by name; a unit is the end of a "
            "column's name (side_ft, torque_ft_lb). Instants are UTC there, and by the site's clock in the "
            "CSV files.",
            "A release has inputs, results and checks as they were frozen. Its sha256 is of the JSON of "
            "{inputs, results, checks, stands_on} (stands_on only where it says something), keys in order, "
            "no spaces.",
            "The log and the entries are chains: the hash of each line covers the line and the hash of the "
            "one before it, from 64 zeros on. A line of the log: SHA-256 of the JSON list [job id, sequence, "
            "verb, what, data, person id, at, previous_hash]. An entry's content_hash: of [sealed_under, "
            'code, subject, number, unit, text, data, SHA-256 of the photo or "", UUID of the entry it '
            'corrects or "", taken_at, person id]; its hash: of [uuid, sequence, content_hash, received_at, '
            'skew_s, UUID of the phone or "", previous_hash]. Printed papers say where both chains ended on '
            "their day.",
        )
    )
