"""The firm's services: the very commands of docker-compose.yml against a real PostgreSQL and Redis.

Each run has a database and Redis keys of its own and takes them away again. The servers are found by
TEST_POSTGRES_URL (a role that may create databases) and TEST_REDIS_URL. Without them the tests are
skipped, under CI=true they fail.
"""

from __future__ import annotations

import http.client
import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import psycopg
import pytest
import redis
import yaml

from tests.prepared import postgres_schema
from tests.served import PATIENCE_S

ROOT = Path(__file__).resolve().parents[2]
POSTGRES = os.environ.get("TEST_POSTGRES_URL", "postgresql://postgres@127.0.0.1:5432/postgres")
REDIS = os.environ.get("TEST_REDIS_URL", "redis://127.0.0.1:6379/0")
NAME = f"mastwright_test_{os.getpid()}"
SITE = "jobs.example.com"
DOT_ENV = {"SITE": SITE, "SECRET_KEY": "Kv7-" + "q3Zp" * 13, "POSTGRES_PASSWORD": "letters4ndDigits"}

pytestmark = [pytest.mark.service, pytest.mark.slow]


def unreachable() -> str:
    try:
        psycopg.connect(POSTGRES, connect_timeout=60).close()
        redis.Redis.from_url(REDIS, socket_connect_timeout=60).ping()
    except (psycopg.Error, redis.RedisError) as error:
        return f"{POSTGRES} and {REDIS} are not both reachable: {error}"
    return ""


def interpolated(value: str, variables: dict[str, str]) -> str:
    """``${NAME:?message}`` and ``${NAME:-default}`` as the Compose Specification has them."""

    def put_in(match: re.Match[str]) -> str:
        name, operator, rest = match.groups()
        if variables.get(name):
            return variables[name]
        assert operator == ":-", f"{name} is not set"
        return rest

    return re.sub(r"\$\{(\w+)(:[-?])([^}]*)\}", put_in, value)


class Firm:
    """The services of the compose file as processes of this machine."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.database = folder, ""
        self.services = yaml.safe_load((ROOT / "docker-compose.yml").read_text())["services"]
        with socket.socket() as trial:
            trial.bind(("127.0.0.1", 0))
            self.port = trial.getsockname()[1]
        self.running: dict[str, subprocess.Popen[bytes]] = {}

    def env(self, service: str) -> dict[str, str]:
        """The service's environment, with this machine's servers in place of the containers'."""
        said = self.services[service]["environment"]
        env = {name: interpolated(value, DOT_ENV) for name, value in said.items()}
        assert env["DATABASE_URL"].startswith("postgresql://mastwright:letters4ndDigits@db:5432/")
        assert env["REDIS_URL"].startswith("redis://redis:6379/")
        here = {
            "PATH": os.environ["PATH"],
            "DATABASE_URL": self.database,
            "REDIS_URL": REDIS,
            "REDIS_PREFIX": f"{NAME}.",
            "VAR_DIR": str(self.folder / "var"),
            "STATIC_ROOT": str(self.folder / "collected"),
            "WORK_LEASE_SECONDS": "3",
            "WORK_LOOK_SECONDS": "1",
        }
        return env | here

    def command(self, service: str, words: list[str]) -> list[str]:
        """The compose file's words, with this interpreter and a free port."""
        assert words[0] == "python"
        bound = [
            re.sub(r"^(--bind=0\.0\.0\.0):8000$", rf"--bind=127.0.0.1:{self.port}", word) for word in words
        ]
        return [sys.executable, *(str(self.port) if word == "8000" else word for word in bound[1:])]

    def run(self, service: str, *words: str) -> str:
        command = self.command(service, ["python", *words])
        done = subprocess.run(command, env=self.env(service), cwd=ROOT, capture_output=True, text=True)
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout

    def migrate(self) -> None:
        self.run("migrate", *self.services["migrate"]["command"][1:])

    def start(self, service: str) -> None:
        command = self.command(service, self.services[service]["command"])
        with (self.folder / f"{service}.log").open("ab") as log:
            self.running[service] = subprocess.Popen(
                command, env=self.env(service), cwd=ROOT, stdout=log, stderr=log
            )

    def kill(self, service: str) -> None:
        self.running[service].send_signal(signal.SIGKILL)
        self.running[service].wait()

    def stop(self) -> None:
        for process in self.running.values():
            process.terminate()
        for process in self.running.values():
            process.wait(timeout=PATIENCE_S)

    def is_healthy(self, service: str) -> bool:
        test = self.services[service]["healthcheck"]["test"]
        assert test[0] == "CMD"
        command = self.command(service, test[1:])
        return subprocess.run(command, env=self.env(service), cwd=ROOT, capture_output=True).returncode == 0

    def sql(self, statement: str) -> list[tuple[Any, ...]]:
        with psycopg.connect(self.database) as link:
            return link.execute(statement).fetchall()

    def get(self, path: str, **headers: str) -> http.client.HTTPResponse:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_S)
        connection.request("GET", path, headers={"Host": SITE, **headers})
        answer = connection.getresponse()
        answer.read()
        connection.close()
        return answer

    def answers(self) -> bool:
        try:
            return self.get("/health").status == 200
        except OSError:
            return False

    def wait_until(self, true: Callable[[], bool], what: str) -> None:
        give_up = time.monotonic() + PATIENCE_S
        while not true():
            if time.monotonic() > give_up:
                logs = [f"--- {f.name}\n{f.read_text()[-3000:]}" for f in self.folder.glob("*.log")]
                pytest.fail("\n".join([what, *logs]))
            time.sleep(0.05)


@pytest.fixture(scope="module")
def firm(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Firm]:
    reason = unreachable()
    if reason and os.environ.get("CI") == "true":
        pytest.fail(reason)
    if reason:
        pytest.skip(reason)
    firm = Firm(tmp_path_factory.mktemp("firm"))
    with postgres_schema(POSTGRES, NAME) as firm.database:
        yield from opened(firm)


# the long ones: of the papers that the demo orders the lift plan is enough here
CANCEL_PACKETS = (
    "UPDATE installs_workrequest SET state = 'cancelled', finished_at = requested_at WHERE id IN"
    " (SELECT work_id FROM installs_paper WHERE kind = 'permit packet') RETURNING id"
)


def opened(firm: Firm) -> Iterator[Firm]:
    try:
        firm.run(
            "migrate", "manage.py", "collectstatic", "--noinput", "--verbosity", "0"
        )  # the image's build
        firm.migrate()
        firm.run("web", "manage.py", "demo")
        firm.sql(CANCEL_PACKETS)
        for service in ("web", "worker"):
            firm.start(service)
        firm.wait_until(firm.answers, "the web server does not answer")
        yield firm
    finally:
        firm.stop()
        server = redis.Redis.from_url(REDIS)
        for key in server.scan_iter(f"{NAME}.*"):
            server.delete(key)
        server.close()


ORDER = """
import django; django.setup()
from django.utils import timezone
from installs.jobs.models import Job
from installs.papers.services import order_paper
from installs.people.models import User
office = User.objects.filter(role="office").first()
job = Job.objects.get(papers__kind="tower lift plan")
print(order_paper(job, "tower lift plan", by=office, at=timezone.now()).pk)
"""


def order(firm: Firm) -> int:
    script = f"import os; os.environ['DJANGO_SETTINGS_MODULE'] = 'installs.settings'\n{ORDER}"
    return int(firm.run("web", "-c", script))


def work_of(firm: Firm, paper: int) -> tuple[Any, ...]:
    rows = firm.sql(
        "SELECT w.state, w.tries, w.error, p.file_id FROM installs_paper p"
        f" JOIN installs_workrequest w ON w.id = p.work_id WHERE p.id = {paper}"
    )
    return rows[0]


def test_a_paper_is_rendered(firm: Firm) -> None:
    """One that the demo ordered."""
    paper = firm.sql("SELECT min(id) FROM installs_paper WHERE kind = 'tower lift plan'")[0][0]
    firm.wait_until(lambda: work_of(firm, paper)[0] in ("done", "failed"), "the paper is not rendered")
    state, tries, error, file = work_of(firm, paper)
    assert (state, error) == ("done", "") and tries and file
    sha256, size = firm.sql(f"SELECT sha256, size_bytes FROM installs_storedfile WHERE id = {file}")[0]
    content = (firm.folder / "var" / "files" / sha256[:2] / sha256).read_bytes()
    assert content.startswith(b"%PDF-") and len(content) == size


@pytest.mark.prove
def test_a_worker_killed_in_the_middle_of_a_paper_leaves_it_once(firm: Firm) -> None:
    paper = order(firm)
    firm.wait_until(lambda: work_of(firm, paper)[0] == "running", "the paper is not begun")
    firm.kill("worker")
    assert work_of(firm, paper)[:2] == ("running", 1)
    firm.start("worker")
    firm.wait_until(lambda: work_of(firm, paper)[0] in ("done", "failed"), "the paper is not rendered")
    assert work_of(firm, paper)[:3] == ("done", 2, "")
    printed = firm.sql(
        f"SELECT count(*) FROM installs_event WHERE verb = 'paper printed' AND data->>'paper' = '{paper}'"
    )
    assert printed == [(1,)]


ODD_ENTRIES = """
import django; django.setup()
from django.conf import settings
from installs.checklists.services import chain_faults
from installs.jobs.models import Job
from installs.jobs.services import add_member
from installs.people.models import User
from tests.crew.odd_entries import hold
settings.ALLOWED_HOSTS = ["*"]
settings.SECURE_SSL_REDIRECT = False
office = User.objects.filter(role="office", is_active=True).first()
ben = User.objects.filter(role="foreman", is_active=True).first()
job = Job.objects.active().filter(phases__key="pour", revisions__part="tower").order_by("pk").last()
add_member(job, ben, by=office, at=job.created_at)
hold(job, ben, office, count=130, seed=17)
assert chain_faults(job) == []
print("held")
"""


@pytest.mark.prove
def test_no_entry_that_this_database_cannot_keep_loses_another(firm: Firm) -> None:
    """Offsets beyond 15:59, NUL, half letters, numbers without end: PostgreSQL refuses what SQLite takes."""
    script = f"import os; os.environ['DJANGO_SETTINGS_MODULE'] = 'installs.settings'\n{ODD_ENTRIES}"
    assert firm.run("web", "-c", script).strip().endswith("held")


@pytest.mark.parametrize("service", ["web", "worker"])
def test_each_service_passes_its_health_check(firm: Firm, service: str) -> None:
    assert firm.is_healthy(service)


@pytest.mark.prove
def test_a_queue_that_nobody_works_is_found_by_the_health_check(firm: Firm) -> None:
    firm.kill("worker")
    firm.sql(
        "INSERT INTO installs_workrequest (kind, queue, key, arguments, state, owner, tries, progress_text,"
        " progress_share, error, requested_at, request_id) VALUES ('papers.none', 'papers', 'waits', '{}',"
        " 'queued', '', 0, '', 0, '', now() - interval '10 minutes', '') RETURNING id"
    )
    # what it did before it was killed may have begun within the five minutes that count as busy, or be held
    firm.sql("UPDATE installs_workrequest SET started_at = started_at - interval '1 hour' RETURNING id")
    held = "SELECT count(*) FROM installs_workrequest WHERE lease_until > now()"
    firm.wait_until(lambda: firm.sql(held) == [(0,)], "what the worker held is not let go of")
    assert not firm.is_healthy("worker"), "nobody works, and it is called healthy"
    firm.start("worker")
    waits = "SELECT count(*) FROM installs_workrequest WHERE state = 'queued'"
    firm.wait_until(lambda: firm.sql(waits) == [(0,)], "the worker takes nothing up")
    assert firm.is_healthy("worker")


def test_the_records_are_gone_over_by_themselves(firm: Firm) -> None:
    def checked() -> bool:
        rows = firm.sql(
            "SELECT j.number, c.faults FROM installs_job j"
            " LEFT JOIN installs_recordcheck c ON c.job_id = j.id"
        )
        return bool(rows) and all(faults == [] for _, faults in rows)

    # the one worker prints what was ordered before it
    over = ("done", "failed", "cancelled")
    for (paper,) in firm.sql("SELECT id FROM installs_paper WHERE work_id IS NOT NULL ORDER BY id"):
        firm.wait_until(lambda paper=paper: work_of(firm, paper)[0] in over, "a paper is not rendered")
    firm.wait_until(checked, "not every record is checked and whole")


def test_a_request_is_found_again_in_the_servers_log(firm: Firm) -> None:
    """The proxy's id is on the answer and in the line of the request; one that is not sane is replaced."""
    answer = firm.get("/health", **{"X-Request-ID": "proxy-0123456789"})
    assert answer.headers["X-Request-ID"] == "proxy-0123456789"
    log = firm.folder / "web.log"
    firm.wait_until(lambda: "proxy-0123456789 127.0.0.1" in log.read_text(), "no line of it")
    assert firm.get("/health", **{"X-Request-ID": "<script>"}).headers["X-Request-ID"].isalnum()


def test_the_proxys_word_on_https_is_taken(firm: Firm) -> None:
    """What comes over http is sent to https; what the proxy says came over https is answered."""
    plain = firm.get("/")
    assert plain.status == 301 and plain.headers["Location"] == f"https://{SITE}/"
    secure = firm.get("/", **{"X-Forwarded-Proto": "https"})
    assert secure.status == 302 and "max-age=31536000" in secure.headers["Strict-Transport-Security"]


def test_a_strangers_host_name_is_refused(firm: Firm) -> None:
    assert firm.get("/", Host="evil.example.net").status == 400


def test_the_stylesheets_carry_hashed_names(firm: Firm) -> None:
    connection = http.client.HTTPConnection("127.0.0.1", firm.port, timeout=PATIENCE_S)
    connection.request("GET", "/sign-in/", headers={"Host": SITE, "X-Forwarded-Proto": "https"})
    page = connection.getresponse().read().decode()
    connection.close()
    sheet = re.search(r'href="(/static/[^"]+\.[0-9a-f]{12}\.css)"', page)
    assert sheet, page[:1000]
    answer = firm.get(sheet[1], **{"X-Forwarded-Proto": "https"})
    assert answer.status == 200 and "immutable" in answer.headers["Cache-Control"]
