"""A firm's first hour: the documented commands on an empty PostgreSQL, until somebody has signed in.

Migrations, first person and web server are the words of docker-compose.yml, with PRODUCTION=True, each a
process of its own. Servers as in test_firm.py.
"""

from __future__ import annotations

import http.client
import os
import re
import shlex
import subprocess
from collections.abc import Iterator
from http.cookies import SimpleCookie
from pathlib import Path
from urllib.parse import urlencode

import psycopg
import pytest

from tests.prepared import database_url
from tests.served import PATIENCE_S
from tests.service.test_firm import POSTGRES, ROOT, SITE, Firm, unreachable

pytestmark = [pytest.mark.service, pytest.mark.slow]
NAME = f"mastwright_first_{os.getpid()}"
PASSWORD = "blue heron 4471 dusk"


@pytest.fixture(scope="module")
def firm(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Firm]:
    """With a database in which there is nothing at all, not a table."""
    reason = unreachable()
    if reason and os.environ.get("CI") == "true":
        pytest.fail(reason)
    if reason:
        pytest.skip(reason)
    firm = Firm(tmp_path_factory.mktemp("first"))
    with psycopg.connect(POSTGRES, autocommit=True) as link:
        link.execute(f'CREATE DATABASE "{NAME}"')
        try:
            firm.database = database_url(POSTGRES, NAME)
            yield firm
        finally:
            firm.stop()
            link.execute(f'DROP DATABASE "{NAME}" WITH (FORCE)')


def documented(page: str, command: str = "first_person") -> list[str]:
    """The command for the first person, as it stands on the page."""
    text = (ROOT / page).read_text(encoding="utf-8")
    said = re.search(rf"(?:docker compose exec|\.\.\.) web python (manage\.py {command}[^\n`)]*)", text)
    assert said, f"{page} does not say how the first person comes in"
    return shlex.split(said[1])


def empty(firm: Firm) -> None:
    """As before anybody came in, and no web server started."""
    firm.stop()
    with psycopg.connect(firm.database, autocommit=True) as link:
        link.execute("TRUNCATE installs_user, installs_firm, installs_sentform CASCADE")


def first_person(firm: Firm, words: list[str], *more: str) -> subprocess.CompletedProcess[str]:
    command = firm.command("web", ["python", *words, *more])
    return subprocess.run(
        command, env=firm.env("web"), cwd=ROOT, input=f"{PASSWORD}\n", capture_output=True, text=True
    )


class Browser:
    """As a browser behind the TLS proxy: keeps its cookies, sends the form's token and where it came from."""

    def __init__(self, firm: Firm) -> None:
        self.firm, self.cookies = firm, SimpleCookie()

    def ask(self, path: str, form: dict[str, str] | None = None) -> tuple[int, str]:
        link = http.client.HTTPConnection("127.0.0.1", self.firm.port, timeout=PATIENCE_S)
        kept = "; ".join(f"{name}={morsel.value}" for name, morsel in self.cookies.items())
        headers = {"Host": SITE, "X-Forwarded-Proto": "https", "X-Forwarded-For": "192.0.2.7", "Cookie": kept}
        if form is not None:
            headers |= {
                "Content-Type": "application/x-www-form-urlencoded",
                "Referer": f"https://{SITE}{path}",
            }
        link.request("POST" if form else "GET", path, urlencode(form) if form else None, headers)
        answer = link.getresponse()
        for cookie in answer.headers.get_all("Set-Cookie", []):
            self.cookies.load(cookie)
        page = answer.read().decode()
        link.close()
        return answer.status, page


@pytest.fixture(scope="module")
def migrated(firm: Firm) -> Firm:
    firm.run("migrate", "manage.py", "collectstatic", "--noinput", "--verbosity", "0")  # the image's build
    firm.migrate()
    return firm


def test_the_printed_address_takes_the_firm_and_its_first_person_once(migrated: Firm) -> None:
    firm = migrated
    empty(firm)
    words = documented("docker-compose.yml", "first_key")
    assert words == documented("README.md", "first_key")
    firm.start("web")
    firm.wait_until(firm.answers, "the web server does not answer")
    browser = Browser(firm)
    assert browser.ask("/start/")[0] == 403
    address = firm.run("web", *words).strip()
    assert address.startswith(f"https://{SITE}/start/?key=")
    status, page = browser.ask(address.removeprefix(f"https://{SITE}"))
    assert status == 200 and "Load the demo" not in page
    hidden = dict(re.findall(r'name="(csrfmiddlewaretoken|form_id|key)" value="([^"]+)"', page))
    typed = {
        **hidden,
        "firm_name": "Osier Wind",
        "town": "Osier, Juniper County",
        "license_number": "ND 4411",
        "full_name": "Pat Orme",
        "username": "pat",
        "new": PASSWORD,
        "again": PASSWORD,
    }
    status, page = browser.ask("/start/", typed)
    assert status == 302, page
    status, page = browser.ask("/first-day/")
    assert status == 200 and "Osier Wind" in page
    assert Browser(firm).ask("/start/", typed)[0] in (403, 409)
    assert firm.sql("SELECT username FROM installs_user") == [("pat",)]


def test_from_nothing_to_an_office_that_has_signed_in(migrated: Firm, tmp_path: Path) -> None:
    firm = migrated
    empty(firm)
    words = documented("docker-compose.yml")
    assert words == documented("README.md")
    made = first_person(firm, words, "--name", "Pat Orme", "--sign-in", "pat")
    assert made.returncode == 0, made.stderr
    again = first_person(firm, words, "--name", "Quin Ash", "--sign-in", "quin")
    assert again.returncode == 1 and "--recover" in again.stderr
    firm.start("web")
    firm.wait_until(firm.answers, "the web server does not answer")
    browser = Browser(firm)
    _, page = browser.ask("/sign-in/")
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page)
    assert token, page
    typed = {"csrfmiddlewaretoken": token[1], "username": "pat", "password": PASSWORD}
    status, page = browser.ask("/sign-in/", typed)
    assert status == 302, page
    status, page = browser.ask("/people/log/")
    assert status == 200
    lines = firm.sql("SELECT verb, who, address FROM installs_firmevent ORDER BY sequence")
    assert lines == [
        ("person added", "on the server", ""),
        ("password set", "on the server", ""),
        ("signed in", "Pat Orme", "192.0.2.7"),
    ]
    assert browser.ask("/people/add/")[0] == 200 and browser.ask("/people/firm/")[0] == 200
    chains = firm.run("web", "manage.py", "chains")
    assert "Firm's log  3 lines, whole" in chains
