"""docker-compose.yml and Dockerfile, as far as they can be held without an engine."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft7Validator

from installs.work.patient import MOST_BODY_BYTES
from installs.work.programs import RETURNS_MEMORY, programs
from installs.work.queues import QUEUES, WORKERS

ROOT = Path(__file__).resolve().parents[2]
SCHEMA = Path(__file__).with_name("compose-spec.json")
OURS = ("migrate", "web", "worker")


@pytest.fixture(scope="module")
def compose() -> dict[str, Any]:
    found = yaml.safe_load((ROOT / "docker-compose.yml").read_text(encoding="utf-8"))
    assert isinstance(found, dict)
    return found


def test_it_keeps_to_the_published_schema(compose: dict[str, Any]) -> None:
    """The Compose Specification's own JSON schema (see compose-spec.txt)."""
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    Draft7Validator.check_schema(schema)
    faults = [
        f"{'/'.join(map(str, e.path))}: {e.message}" for e in Draft7Validator(schema).iter_errors(compose)
    ]
    assert not faults


def test_the_schema_finds_a_fault(compose: dict[str, Any]) -> None:
    """So that an empty list above means something."""
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    spoiled = json.loads(json.dumps(compose))
    spoiled["services"]["web"]["comand"] = ["python"]
    spoiled["services"]["db"]["healthcheck"]["interval"] = 10
    assert len(list(Draft7Validator(schema).iter_errors(spoiled))) == 2


def test_every_service_says_whether_it_is_healthy(compose: dict[str, Any]) -> None:
    without = [name for name, service in compose["services"].items() if "healthcheck" not in service]
    assert without == ["migrate"]  # it ends


def test_each_queue_has_a_worker_whose_health_is_its_queues(compose: dict[str, Any]) -> None:
    assert set(WORKERS) == set(QUEUES)
    for queue, name in WORKERS.items():
        worker = compose["services"][name]
        assert f"--queues={queue}" in worker["command"]
        assert worker["healthcheck"]["test"][-1] == queue


def test_what_waits_for_another_waits_for_its_health(compose: dict[str, Any]) -> None:
    for service in compose["services"].values():
        for other, how in service.get("depends_on", {}).items():
            ends = other == "migrate"
            assert how["condition"] == ("service_completed_successfully" if ends else "service_healthy")


def test_every_named_volume_is_declared_and_used(compose: dict[str, Any]) -> None:
    used = {
        mount.partition(":")[0]
        for service in compose["services"].values()
        for mount in service.get("volumes", [])
    }
    assert used == set(compose["volumes"])


def test_only_the_proxy_is_reached_from_outside(compose: dict[str, Any]) -> None:
    assert [name for name, service in compose["services"].items() if "ports" in service] == ["proxy"]


def test_secrets_are_asked_for_and_never_written_here() -> None:
    text = (ROOT / "docker-compose.yml").read_text(encoding="utf-8")
    for name in ("SECRET_KEY", "POSTGRES_PASSWORD", "SITE"):
        assert re.search(rf"\$\{{{name}:\?", text)
    assert not re.search(r"^ +(SECRET_KEY|\w+PASSWORD|\w+ACCESS_KEY): *[^$\s]", text, re.MULTILINE)


def test_every_variable_it_sets_is_one_we_read(compose: dict[str, Any]) -> None:
    settings = (ROOT / "installs" / "settings.py").read_text(encoding="utf-8")
    for name in OURS:
        for variable in compose["services"][name]["environment"]:
            assert f'"{variable}"' in settings


def test_redis_keeps_what_it_was_given(compose: dict[str, Any]) -> None:
    """redis.io, "Redis persistence": without the append-only file a killed server forgets writes."""
    command = compose["services"]["redis"]["command"]
    assert command[command.index("--appendonly") + 1] == "yes"
    assert command[command.index("--maxmemory-policy") + 1] == "noeviction"


def test_the_image_runs_as_nobody_in_particular() -> None:
    lines = (ROOT / "Dockerfile").read_text(encoding="utf-8").splitlines()
    users = [line for line in lines if line.startswith("USER ")]
    assert users == ["USER mastwright"]
    assert not [line for line in lines[lines.index(users[0]) :] if line.startswith("RUN ")]
    assert not any(re.match(r"(ENV|ARG).*(SECRET|PASSWORD)", line) for line in lines)


def test_the_image_holds_what_it_copies_and_nothing_else() -> None:
    copied = re.findall(r"^COPY (\S+) ", (ROOT / "Dockerfile").read_text(encoding="utf-8"), re.MULTILINE)
    allowed = (ROOT / ".dockerignore").read_text(encoding="utf-8").splitlines()
    assert allowed[0] == "*"
    assert {f"!{name}" for name in copied} == {line for line in allowed if line.startswith("!")}
    assert all((ROOT / name).exists() for name in copied)


def test_the_image_has_the_stores_client_and_one_machine_does_without() -> None:
    def pinned(name: str) -> set[str]:
        return set(re.findall(r"^[\w.-]+==\S+", (ROOT / name).read_text(encoding="utf-8"), re.MULTILINE))

    one, firm, test = (
        pinned(n) for n in ("requirements.txt", ".ci/requirements-firm.txt", ".ci/requirements-test.txt")
    )
    assert one < firm < test
    names = {line.partition("==")[0] for line in firm - one}
    assert {"django-storages", "boto3"} <= names
    assert re.search(r"pip install .*requirements-firm\.txt", (ROOT / "Dockerfile").read_text("utf-8"))


def test_the_image_and_the_set_up_install_the_same_libraries() -> None:
    image = set(re.findall(r"\blib[\w.-]+\d\b", (ROOT / "Dockerfile").read_text(encoding="utf-8")))
    set_up = set(re.findall(r"\blib[\w.-]+\d\b", (ROOT / ".ci" / "setup").read_text(encoding="utf-8")))
    assert image == set_up


def test_no_service_takes_the_machine_along(compose: dict[str, Any]) -> None:
    limits = {name: s.get("mem_limit") for name, s in compose["services"].items() if name != "migrate"}
    assert None not in limits.values()


def test_what_stands_still_ends_at_the_proxy_and_behind_it(compose: dict[str, Any]) -> None:
    """Head, body, answer and idle connection have an end; the proxy lets through what web still answers."""
    proxy = compose["configs"]["proxy"]["content"]
    ends = re.findall(r"^ +(read_header|read_body|write|idle) \d+[sm]$", proxy, re.MULTILINE)
    assert sorted(ends) == ["idle", "read_body", "read_header", "write"]
    [size] = re.findall(r"max_size (\d+)MB", proxy)
    assert int(size) * 1_000_000 == MOST_BODY_BYTES
    service = compose["services"]["proxy"]
    assert service["configs"] == [{"source": "proxy", "target": "/etc/caddy/Caddyfile"}]


def test_a_firms_server_reads_requests_as_one_machine_does(compose: dict[str, Any]) -> None:
    one = programs(8000)["web"]
    for word in ("--worker-class", "--worker-connections"):
        assert f"{word}={one[one.index(word) + 1]}" in compose["services"]["web"]["command"]
    image = (ROOT / "Dockerfile").read_text(encoding="utf-8")
    for name, value in RETURNS_MEMORY.items():
        assert f"ENV {name}={value}\n" in image
