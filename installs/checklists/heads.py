"""Where the two chains of a job's record ended on a day: printed on every paper, held to the record since.

What is cut from the end of a chain, or written anew with all that follows it, is a whole chain again. A sheet
of paper that says which line stood at its end is out of reach of whoever rewrites it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from installs.jobs.models import Job
from sitecalc.wording import day_words

DIGITS = 16  # of a hash, in fours: enough that no other line is found that begins so
LOG, ENTRIES = "log line", "entry"
CHAINS = {LOG: "events", ENTRIES: "entries"}  # by the word that a paper says
PRINTED = re.compile(rf"({LOG}|{ENTRIES})\s+([\d,]+)\s+((?:[0-9a-f]{{4}}\s*){{{DIGITS // 4}}})")

# by chain the number of its last line and the first digits of its hash, and the day of the reading
Heads = Mapping[str, Any]


def heads(job: Job, at: datetime) -> dict[str, Any]:
    """Where the chains end now; a chain without a line is left out."""
    found: dict[str, Any] = {"day": job.local(at).date()}
    for word, chain in CHAINS.items():
        last = getattr(job, chain).order_by("-sequence").values_list("sequence", "hash").first()
        if last is not None:
            found[word] = [last[0], last[1][:DIGITS]]
    return found


def heads_words(of: Heads) -> str:
    """ "log line 227 a1b2 c3d4 e5f6 0718, entry 84 9f0e ..." """
    return ", ".join(end_words(word, *of[word]) for word in CHAINS if word in of)


def end_words(word: str, number: int, digits: str) -> str:
    fours = " ".join(digits[start : start + 4] for start in range(0, len(digits), 4))
    return f"{word} {number} {fours}"


def printed_line(of: Heads) -> str:
    """As it stands at the foot of a page."""
    return f"Record at printing, {day_words(of['day'], year=True)}: {heads_words(of) or 'no line yet'}"


def read_line(words: str) -> dict[str, Any]:
    """What somebody types from a sheet of paper; empty where no end of a chain is in it."""
    found = PRINTED.findall(words.lower())
    return {word: [int(number.replace(",", "")), re.sub(r"\s", "", digits)] for word, number, digits in found}


def lost_ends(of: Heads, chains: Mapping[str, Mapping[int, str]]) -> list[str]:
    """What of it is gone or another now, in words; ``chains`` gives hashes by the numbers of their lines."""
    found = []
    for word, lines in chains.items():
        if word not in of:
            continue
        number, digits = of[word]
        if not lines.get(number, "").startswith(digits) or number not in lines:
            chain, one = ("log", "line") if word == LOG else ("field record", "entry")
            now = f"has another {one} there" if number in lines else f"has no {one} {number}"
            found.append(f"{end_words(word, number, digits)}; the {chain} {now}")
    return found
