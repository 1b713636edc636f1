"""Entries as no phone of ours sends them: every code with odd figures, by a seed; what must hold after."""

from __future__ import annotations

import json
import random
import uuid
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone

from installs.checklists.library import shipped_lists
from installs.checklists.said import OF_DESK, declaration
from installs.jobs.models import Job
from installs.people.models import User

BATCH = 40
INSTANTS = (
    "9999-12-31T23:59:59Z", "0001-01-01T00:00:00Z", "2031-05-05T08:00:00+23:59", "1970-01-01T00:00:00Z",
    "2199-12-31T23:00:00-12:00", "2026-02-30T08:00:00Z", "2026-13-01", "8:15", "2026-11-29T08:00:00", "",
)  # fmt: skip
ODD: tuple[Any, ...] = (
    *INSTANTS, None, True, False, 0, -0.0, -1, 1e300, -1e300, 1e14, 10**30, 10**400, float("nan"),
    float("inf"), "x", "x" * 3000, "a\x00b", "\ud800", "<script>alert(1)</script>", "truck 3", [], [[[]]], {},
    {"a": {"b": {"c": [1, "2", None]}}}, [None, 7, ["A1"]], ["A1", "A1"], "all", "yes", {"unit": 3},
    {"unit": "F", "clock": "site", "more": 1}, "f" * 64,
)  # fmt: skip
SUBJECTS = (
    "", "truck 1", "truck 3", "truck 99", "edge", "core", "air", "leg A", "leg Z", "joint 1",
    "joint 1 pass 3 bolt A1", "joint 99 pass 1", "ground", "x" * 61, "\x00", None, 7, "Truck  3",
)  # fmt: skip
NUMBERS = (*ODD, 4.25, 60.0, 62.0, 0.0625, 212.1, 1440.1, 9.5)
# a job's pages that are files to download, or that wait for a paper to be printed
NOT_PAGES = {"paper-file", "sealed-file"}


def every_code() -> list[str]:
    return [item["code"] for each in shipped_lists().values() for item in each.items] + ["Z99", "D3"]


def good(job: Job) -> dict[str, Any]:
    """One that any phone sends."""
    now = timezone.now().isoformat()
    return {"uuid": str(uuid.uuid4()), "job": job.number, "code": "B07", "number": 52.0, "taken_at": now}


def odd_entries(job: Job, count: int, seed: int) -> Iterator[dict[str, Any]]:
    """Each code in its turn; the keys are those declared for it, and one that nobody knows."""
    dice, codes, sent = random.Random(seed), every_code(), list[str]()
    for turn in range(count):
        code = codes[turn % len(codes)]
        keys = [*sorted(set(declaration(code)) - OF_DESK), "nobody knows it"]
        data = {key: dice.choice(ODD) for key in dice.sample(keys, dice.randint(0, min(4, len(keys))))}
        entry = {
            "uuid": str(uuid.UUID(int=dice.getrandbits(128), version=4)),
            "job": job.number,
            "code": code,
            "taken_at": _taken_at(dice),
            "subject": dice.choice(SUBJECTS),
            "number": dice.choice(NUMBERS),
            "data": data if dice.random() < 0.9 else dice.choice(ODD),
        }
        if dice.random() < 0.2:
            entry |= {"text": dice.choice(ODD), "unit": dice.choice(ODD)}
        if sent and dice.random() < 0.2:
            entry["corrects"] = dice.choice(sent)
        sent.append(entry["uuid"])
        yield entry


def _taken_at(dice: random.Random) -> Any:
    if dice.random() < 0.3:
        return dice.choice(INSTANTS)
    days = dice.choice((0, 0, 0, -0.5, -3, -40, -400, -9000, 0.5, 3, 400))
    return (timezone.now() + timedelta(days=days)).isoformat()


def send(client: Client, job: Job, count: int, seed: int) -> int:
    """Send them in batches with good ones among them; gives how many odd ones were taken."""
    taken, device = 0, str(uuid.uuid4())
    every = list(odd_entries(job, count, seed))
    for at in range(0, len(every), BATCH):
        batch, sound = every[at : at + BATCH], [good(job), good(job)]
        entries = [sound[0], *batch, sound[1]]
        body = json.dumps({"device": device, "entries": entries})
        answer = client.post("/api/entries/", body, content_type="application/json")
        assert answer.status_code == 200, answer.content[:300]
        states = [each["state"] for each in answer.json()["answers"]]
        assert states[0] == states[-1] == "taken"
        wrong = [e for e, s in zip(entries, states, strict=True) if s not in ("taken", "refused")]
        assert not wrong, wrong[:2]
        taken += states[1:-1].count("taken")
    return taken


def pages(job: Job) -> Iterator[str]:
    """Every page of the job that its number leads to, its lists and their papers."""
    for view, name in _named(get_resolver()):
        if getattr(view, "ability", "anyone") == "anyone" or name in NOT_PAGES:
            continue
        try:
            yield reverse(name, args=[job.number])
        except Exception:  # it asks for more than the number
            continue
    for kept in job.lists.all():
        for name in ("job-list", "phone-list", "key-in"):
            yield reverse(name, args=[job.number, kept.key])


def _named(resolver: Any) -> Iterator[tuple[Any, str]]:
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            yield from _named(entry)
        elif isinstance(entry, URLPattern) and entry.name:
            yield entry.callback, entry.name


def opened(job: Job, office: User) -> dict[str, int]:
    """Every page of the job and those of the firm that show it, with what each answered."""
    client = Client()
    client.force_login(office)
    firm = [reverse(name) for name in ("home", "look-ahead", "jobs", "day-sheet", "all-papers", "crew-days")]
    return {path: client.get(path).status_code for path in [*pages(job), *firm]}


def hold(job: Job, person: User, office: User, *, count: int, seed: int) -> None:
    """Send them, then open everything: nothing is lost, nothing is closed to anybody."""
    client = Client()
    client.force_login(person)
    taken = send(client, job, count, seed)
    assert taken > count * 0.4, f"only {taken} of {count} were taken"
    answers = opened(job, office)
    assert len(answers) > 30
    # 302: to the sheet of the newest plan; 405: what is only posted
    for file in ("archive-file", "utility-letter"):  # no archive was ordered, no agent's letter came
        assert answers.pop(reverse(file, args=[job.number])) == 404
    assert {path: status for path, status in answers.items() if status not in (200, 302, 405)} == {}
