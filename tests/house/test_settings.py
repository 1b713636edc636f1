"""Settings: run with nothing set, refuse in production what is missing, fail loudly on nonsense."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.exceptions import ImproperlyConfigured

from installs import env
from installs.wsgi import seen_by_proxy

ROOT = Path(__file__).resolve().parents[2]
GOOD = {
    "PRODUCTION": "True",
    "SECRET_KEY": "s" * 25 + "3cr3t-" + "K" * 30,
    "ALLOWED_HOSTS": "jobs.example.com",
}
PLAIN = {"PATH": os.environ["PATH"]}


def settings_with(tmp_path: Path, show: str = "settings.DEBUG", **variables: str) -> str:
    """What a fresh process shows of the settings, or the last line of its refusal."""
    script = f"from django.conf import settings; print({show})"
    done = subprocess.run(
        [sys.executable, "-c", script],
        env=PLAIN | {"VAR_DIR": str(tmp_path), "DJANGO_SETTINGS_MODULE": "installs.settings"} | variables,
        cwd=ROOT,
        capture_output=True,
        text=True,
    )
    return (done.stdout or done.stderr).strip().splitlines()[-1]


def test_with_nothing_set_it_is_sqlite_files_and_this_machine_only(tmp_path: Path) -> None:
    shown = settings_with(
        tmp_path,
        "settings.DEBUG, settings.ALLOWED_HOSTS, settings.DATABASES['default']['ENGINE'].rpartition('.')[2],"
        " settings.CELERY_BROKER_URL.partition(':')[0]",
    )
    assert shown == "False ['localhost', '127.0.0.1', '[::1]'] sqlite3 messagefolder"


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"SECRET_KEY": ""}, "SECRET_KEY"),
        ({"SECRET_KEY": "short"}, "SECRET_KEY"),
        ({"ALLOWED_HOSTS": ""}, "ALLOWED_HOSTS"),
        ({"ALLOWED_HOSTS": "*"}, "ALLOWED_HOSTS"),
        ({"DEBUG": "True"}, "DEBUG"),
        ({"PRODUCTION": "yes"}, "PRODUCTION must be True or False"),
        ({"DATABASE_URL": "mysql://a@b/c"}, "DATABASE_URL"),
        ({"WORK_LEASE_SECONDS": "soon"}, "WORK_LEASE_SECONDS must be a whole number"),
        ({"ALARM_HOOK": "chat.example.com/x"}, "ALARM_HOOK"),
    ],
)
def test_production_refuses_to_start_on_what_is_missing_or_wrong(
    tmp_path: Path, change: dict[str, str], says: str
) -> None:
    line = settings_with(tmp_path, **(GOOD | change))
    assert "ImproperlyConfigured" in line and says in line


def test_production_takes_the_firms_servers(tmp_path: Path) -> None:
    shown = settings_with(
        tmp_path,
        "settings.DATABASES['default']['HOST'], settings.DATABASES['default']['PASSWORD'],"
        " settings.CELERY_BROKER_URL, settings.STORAGES['default']['OPTIONS']['bucket_name']",
        **GOOD,
        DATABASE_URL="postgresql://firm:p%40ss@db:5432/jobs",
        REDIS_URL="redis://redis:6379/0",
        STORAGE_BUCKET="papers",
    )
    assert shown == "db p@ss redis://redis:6379/0 papers"


def test_the_stores_of_a_bucket_can_be_made(tmp_path: Path) -> None:
    """django-storages takes the options as we name them: a wrong name raises when the storage is made."""
    shown = settings_with(
        tmp_path,
        "__import__('django.core.files.storage', fromlist=['storages']).storages['default'].endpoint_url",
        STORAGE_BUCKET="papers",
        STORAGE_ENDPOINT_URL="https://s3.example.com",
        STORAGE_REGION="us-north",
        STORAGE_ACCESS_KEY="a",
        STORAGE_SECRET_KEY="b",
    )
    assert shown == "https://s3.example.com"


def test_a_bucket_without_the_stores_client_is_one_clear_line(tmp_path: Path) -> None:
    script = "import sys; sys.modules['boto3'] = None; from django.conf import settings; settings.DEBUG"
    env = {"VAR_DIR": str(tmp_path), "DJANGO_SETTINGS_MODULE": "installs.settings", "STORAGE_BUCKET": "x"}
    done = subprocess.run(
        [sys.executable, "-c", script], env=PLAIN | env, cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode == 1
    assert "pip install -r .ci/requirements-firm.txt" in done.stderr.splitlines()[-1]


def test_an_error_is_told_to_the_addresses_given(tmp_path: Path) -> None:
    shown = settings_with(
        tmp_path,
        "settings.ADMINS, settings.EMAIL_HOST, settings.EMAIL_PORT, settings.EMAIL_USE_TLS",
        ADMINS="it@plains.example, night@plains.example",
        EMAIL_HOST="mail.plains.example",
        EMAIL_PORT="587",
        EMAIL_TLS="True",
    )
    people = "[('', 'it@plains.example'), ('', 'night@plains.example')]"
    assert shown == f"{people} mail.plains.example 587 True"


def test_the_deploy_check_is_clean(tmp_path: Path) -> None:
    subprocess.run(
        [sys.executable, "manage.py", "check", "--deploy", "--fail-level", "WARNING"],
        env=PLAIN | GOOD | {"VAR_DIR": str(tmp_path)},
        cwd=ROOT,
        check=True,
        capture_output=True,
    )


def test_one_line_says_what_is_wrong(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "manage.py", "migrate"],
        env=PLAIN | {"VAR_DIR": str(tmp_path), "DEBUG": "1"},
        cwd=ROOT,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 1
    assert done.stderr.splitlines() == ["Mastwright: DEBUG must be True or False, not '1'."]


def test_the_static_files_can_be_collected_under_hashed_names(tmp_path: Path) -> None:
    """A stylesheet that names a file which is not there would stop the image's build."""
    subprocess.run(
        [sys.executable, "manage.py", "collectstatic", "--noinput", "--verbosity", "0"],
        env=PLAIN | GOOD | {"VAR_DIR": str(tmp_path)},
        cwd=ROOT,
        check=True,
    )
    assert (tmp_path / "static" / "staticfiles.json").exists()


def test_every_variable_is_in_the_contributors_page() -> None:
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    files = [ROOT / "installs" / "settings.py", *(ROOT / "installs" / "management").rglob("*.py")]
    text = "".join(file.read_text(encoding="utf-8") for file in files)
    named = set(re.findall(r"""env_(?:str|bool|int|list|secret)\(\s*["'](\w+)""", text))
    assert len(named) > 10
    assert {name for name in named if f"`{name}`" not in page} == set()


def test_a_secret_may_be_in_a_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    secret = tmp_path / "secret"
    secret.write_text("from a file\n")
    monkeypatch.setenv("A_SECRET_FILE", str(secret))
    assert env.env_secret("A_SECRET") == "from a file"


@pytest.mark.parametrize("content", [None, "", " \n", "both"])
def test_a_secret_file_that_cannot_be_used_stops_the_start(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, content: str | None
) -> None:
    secret = tmp_path / "secret"
    if content is not None:
        secret.write_text(content)
    if content == "both":
        monkeypatch.setenv("A_SECRET", "too")
    monkeypatch.setenv("A_SECRET_FILE", str(secret))
    with pytest.raises(ImproperlyConfigured, match="A_SECRET"):
        env.env_secret("A_SECRET")


@pytest.mark.parametrize("text", ["-1", "1.5", "1e3", "٣", "70000", "0x10", "8000 9000"])
def test_a_number_that_is_none_or_out_of_range_stops_the_start(
    monkeypatch: pytest.MonkeyPatch, text: str
) -> None:
    monkeypatch.setenv("A_PORT", text)
    with pytest.raises(ImproperlyConfigured, match="A_PORT must be a whole number from 1 to 65535"):
        env.env_int("A_PORT", 8000, low=1, high=65535)


@pytest.mark.parametrize("text", ["true", "1", "yes", "off"])
def test_a_switch_is_true_or_false(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    monkeypatch.setenv("A_SWITCH", text)
    with pytest.raises(ImproperlyConfigured):
        env.env_bool("A_SWITCH", False)


@pytest.mark.parametrize(
    ("forwarded", "address"),
    [("203.0.113.7", "203.0.113.7"), ("10.9.9.9, 203.0.113.7", "203.0.113.7"), ("", "172.18.0.2")],
)
def test_behind_the_proxy_the_address_is_the_one_the_proxy_saw(forwarded: str, address: str) -> None:
    """What a client writes into the header itself stands before the proxy's entry and is not believed."""
    seen = []
    app = seen_by_proxy(lambda environ, start: seen.append(environ["REMOTE_ADDR"]) or [])
    app({"REMOTE_ADDR": "172.18.0.2", "HTTP_X_FORWARDED_FOR": forwarded}, None)
    assert seen == [address]
