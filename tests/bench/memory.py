"""What the web server's processes hold in memory: begun, and after each page of the demo was opened, twice.

``python tests/bench/memory.py``. The demo on its own server; every page that leads on from the jobs, the
look-ahead and the crew days is asked for as the office sees it. Prints and asserts nothing.
"""

from __future__ import annotations

import http.client
import re
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from installs.work.programs import RETURNS_MEMORY
from tests.bench.office import Office

GOAL_MB = 200
FIRST = ("/jobs/", "/look-ahead/", "/crew-days/", "/day/")
LEADS = re.compile(r'href="(/[^"#?]*)"')
SIGN_IN = """
import json
from django.test import Client
from installs.people.models import User
client = Client()
client.force_login(User.objects.get(username="alma"))
print(json.dumps(client.cookies["sessionid"].value))
"""


def workers(master: int) -> list[int]:
    return [int(pid) for pid in Path(f"/proc/{master}/task/{master}/children").read_text().split()]


def held_mb(pid: int, what: str) -> float:
    """``VmRSS``, or of what is shared with others its share: ``Pss``."""
    name = "status" if what == "VmRSS" else "smaps_rollup"
    line = next(
        line for line in Path(f"/proc/{pid}/{name}").read_text().splitlines() if line.startswith(what + ":")
    )
    return int(line.split()[1]) / 1000


def walk(office: Office, session: str) -> int:
    """Each page once; how many there were."""
    to_open, opened = list(FIRST), set(FIRST)
    link = http.client.HTTPConnection("127.0.0.1", office.port, timeout=120)
    for path in to_open:
        link.request("GET", path, headers={"Cookie": f"sessionid={session}"})
        answer = link.getresponse()
        body = answer.read()
        if answer.will_close:
            link.close()
        if answer.status != 200 or "text/html" not in answer.headers["Content-Type"]:
            continue
        for found in LEADS.findall(body.decode()):
            if found not in opened and not found.startswith(("/static/", "/sign-out/")):
                opened.add(found)
                to_open.append(found)
    return len(to_open)


def say(when: str, master: int) -> None:
    for n, pid in enumerate(workers(master), 1):
        whole, share = held_mb(pid, "VmRSS"), held_mb(pid, "Pss")
        print(f"{when:>22}: process {n}: {whole:.0f} MB, its own share {share:.0f} MB")


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        office = Office(Path(folder))
        office.env |= RETURNS_MEMORY
        office.run("manage.py", "demo")
        office.start()
        try:
            assert office.server is not None
            session = office.told(SIGN_IN)
            say("begun", office.server.pid)
            for time in ("once", "twice"):
                say(f"{walk(office, session)} pages, {time}", office.server.pid)
        finally:
            office.kill()
    print(f"(the goal is under {GOAL_MB} MB)")


if __name__ == "__main__":
    main()
