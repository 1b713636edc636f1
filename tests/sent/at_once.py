"""Many people at once, each with a page of their own: run in a process whose environment names the database.

python -m tests.sent.at_once CASE      prints as JSON what came of it
"""

from __future__ import annotations

import json
import os
import sys
import threading
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "installs.settings")
django.setup()

from django.db import connection  # noqa: E402  (the settings come first)
from django.test import Client  # noqa: E402
from django.urls import reverse  # noqa: E402
from django.utils import timezone  # noqa: E402

from crew.plan.models import Crew, CrewDay, Plan  # noqa: E402
from crew.plan.services import add_day  # noqa: E402
from installs.foundation.models import FoundationDesign  # noqa: E402
from installs.jobs.models import Job  # noqa: E402
from installs.people.models import User  # noqa: E402
from installs.permits.models import Permit  # noqa: E402
from installs.turbine.models import TurbineModel  # noqa: E402
from tests.foundation.make_foundation import posted  # noqa: E402
from tests.house.page_forms import forms_of  # noqa: E402
from tests.make import alma, as_drawn, drawn_from, make_job, make_person  # noqa: E402
from tests.turbine.machines import make_model  # noqa: E402

WRITERS = 20
TRIES = 60  # of one writer until it is saved: each of the others may come first


def at_once(presses: list[Callable[[], Any]]) -> list[Any]:
    """Each on a thread and a connection of its own, all begun together."""
    start, answers = threading.Barrier(len(presses)), [None] * len(presses)

    def run(number: int, press: Callable[[], Any]) -> None:
        start.wait()
        try:
            answers[number] = press()
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=each) for each in enumerate(presses)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers


def signed_in(person: User) -> Client:
    client = Client(raise_request_exception=False, HTTP_HOST="localhost")
    client.force_login(person)
    return client


def status(client: Client, url: str, data: dict[str, Any]) -> int:
    return int(client.post(url, data).status_code)


def filled(html: str, url: str) -> dict[str, Any]:
    return forms_of(html, url)[[f.action for f in forms_of(html, url)].index(url)].filled()


def save_field(client: Client, url: str, drawn: dict[str, Any], name: str, value: str) -> list[int]:
    """Send one field from the page as it was drawn; from each page that comes back, send it again."""
    data, answers = {**drawn, name: value}, []
    while len(answers) < TRIES:
        answer = client.post(url, data)
        answers.append(answer.status_code)
        if answer.status_code != 409:
            break
        data = filled(answer.content.decode(), url)  # what was typed stands in it
        assert data[name] == [value]
    return answers


NOT_GIVEN = {"cut_in_mph": 6, "speed_high_rpm": 200, "overspeed_rpm": 300}


def writers() -> dict[str, Any]:
    """20 writers, each another field of one row, all from a page drawn before anybody saved."""
    model, office = make_model(), alma()
    url = reverse("turbine-model", args=[model.pk])
    fields = ("head_weight_lb", "hub_above_flange_ft", "hub_ahead_ft", "body_length_ft", "body_height_ft",
              "tail_ft", "rated_kw", "cut_in_mph", "cut_out_mph", "rotor_weight_lb", "name", "speed_low_rpm",
              "speed_high_rpm", "overspeed_rpm", "certificate", "brake", "regulates_speed", "density_rule",
              "output", "blades")  # fmt: skip
    page = filled(signed_in(office).get(url).content.decode(), url)
    typed = {"name": "Marsh 13", "certificate": "AWEA 9.1-2009, SWCC-99", "brake": "not known", "blades": "2"}
    choices = {
        f.name: [o for o in f.options if o not in ("", *page[f.name])]
        for f in forms_of(signed_in(office).get(url).content.decode(), url)[1].fields
        if f.kind == "select"
    }
    for name in fields:
        if choices.get(name):
            typed[name] = choices[name][0]
        elif name not in typed:
            now = float(page[name][0] or NOT_GIVEN.get(name, 50))
            typed[name] = f"{now * 1.01:.4g}"
    clients = [signed_in(office) for _ in fields]
    pages = [filled(client.get(url).content.decode(), url) for client in clients]
    presses = [
        (lambda c=c, p=p, n=n: save_field(c, url, p, n, typed[n]))
        for c, p, n in zip(clients, pages, fields, strict=True)
    ]
    answers = at_once(presses)
    now = filled(signed_in(office).get(url).content.decode(), url)
    lost = {n: [now[n], typed[n]] for n in fields if now[n] != [typed[n]]}
    return {"last": [a[-1] for a in answers], "stale": sum(len(a) - 1 for a in answers), "lost": lost,
            "rows": TurbineModel.objects.count()}  # fmt: skip


def double() -> dict[str, Any]:
    """20 presses of one form, and 20 of forms drawn one by one."""
    job, office = make_job(), alma()
    url = reverse("permit-add", args=[job.number])
    typed = {"kind": "building", "asked_of": "Juniper County"}
    clients = [signed_in(office) for _ in range(WRITERS)]
    one = {**as_drawn(clients[0], url), **typed}
    same = at_once([lambda c=c: status(c, url, one) for c in clients])
    after = Permit.objects.count()
    each = [{**as_drawn(c, url), **typed} for c in clients]
    other = at_once([lambda c=c, d=d: status(c, url, d) for c, d in zip(clients, each, strict=True)])
    return {"same": same, "one": after, "each": other, "all": Permit.objects.count() - after}


def season(jobs: int = 3) -> tuple[User, list[Job], Crew]:
    office = alma()
    return (
        office,
        [make_job(by=office) for _ in range(jobs)],
        Crew.objects.create(name="Pad", foreman=make_person()),
    )


def a_day(job: Job, crew: Crew, office: User, days: int) -> CrewDay:
    on = timezone.now().date() + timedelta(days=days)
    return add_day(job, "survey", on, crew, by=office, at=timezone.now())


def issue() -> dict[str, Any]:
    """The plan issued by ten at once, from pages that all show the same days."""
    office, jobs, crew = season()
    for n, job in enumerate(jobs):
        a_day(job, crew, office, 30 + n)
    clients, url = [signed_in(office) for _ in range(10)], reverse("plan-issue")
    pages = [{**as_drawn(c, reverse("crew-days"), url), "what": "Opened."} for c in clients]
    answers = at_once([lambda c=c, p=p: status(c, url, p) for c, p in zip(clients, pages, strict=True)])
    letters = list(Plan.objects.values_list("letter", flat=True))
    return {
        "answers": sorted(answers),
        "letters": letters,
        "tentative": CrewDay.objects.filter(plan=None).count(),
    }


def issue_against_strike() -> dict[str, Any]:
    """Plans issued while days are struck and others added: nothing waits for itself."""
    office, jobs, crew = season(4)
    url, answers = reverse("plan-issue"), []
    for turn in range(5):
        days = [a_day(job, crew, office, 40 + 10 * turn + n) for n, job in enumerate(jobs)]
        presses = []
        for _ in range(3):
            client = signed_in(office)
            page = {**as_drawn(client, reverse("crew-days"), url), "what": f"Turn {turn}."}
            presses.append(lambda c=client, p=page: status(c, url, p))
        for day in days:
            client, at = signed_in(office), reverse("crew-day-strike", args=[day.pk])
            page = {**as_drawn(client, reverse("crew-day", args=[day.pk]), at), "strike-why": "Rain."}
            presses.append(lambda c=client, p=page, at=at: status(c, at, p))
        answers += at_once(presses)
    letters = list(Plan.objects.values_list("letter", flat=True))
    empty = [plan.letter for plan in Plan.objects.filter(days=None)]
    return {"answers": sorted(set(answers)), "twice": len(letters) - len(set(letters)), "empty": empty}


def first_draft() -> dict[str, Any]:
    """Ten save the first draft of a part, all from the page that shows none."""
    office, (job,), _ = season(1)
    url = reverse("foundation", args=[job.number])
    clients = [signed_in(office) for _ in range(10)]
    page = {**posted(FoundationDesign(job=job), do="keep"), **drawn_from(clients[0], url)}
    presses = [
        lambda c=c, n=n: status(c, url, {**page, "side_ft": str(16 + n)}) for n, c in enumerate(clients)
    ]
    answers = at_once(presses)
    return {"answers": sorted(answers), "drafts": FoundationDesign.objects.filter(job=job).count()}


def last_of_the_office() -> dict[str, Any]:
    """Five of the office, each made a foreman or archived by the next at once: one remains."""
    people = [alma() for _ in range(5)]
    presses = []
    for n, person in enumerate(people):
        other = people[(n + 1) % 5]
        client, at = signed_in(person), reverse("person", args=[other.pk])
        if n % 2:
            archive = reverse("person-archive", args=[other.pk])
            page = as_drawn(client, at, archive)
            presses.append(lambda c=client, u=archive, p=page: status(c, u, p))
        else:
            page = {**filled(client.get(at).content.decode(), at), "role": "foreman", "save": ""}
            presses.append(lambda c=client, u=at, p=page: status(c, u, p))
    answers = at_once(presses)
    office = User.objects.filter(role="office", is_active=True).count()
    return {"answers": answers, "office": office}


CASES = {
    f.__name__: f for f in (writers, double, issue, issue_against_strike, first_draft, last_of_the_office)
}

if __name__ == "__main__":
    print(json.dumps(CASES[sys.argv[1]]()))
