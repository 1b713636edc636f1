"""What an address keeps secret is in no log."""

from __future__ import annotations

import os
import re
import secrets
from pathlib import Path

import pytest

from installs.work.addresses import without_secrets
from tests.prepared import schema_for
from tests.served import served


@pytest.mark.parametrize("length", [24, 32, 48])
def test_a_secret_of_ours_is_told_by_its_beginning(length: int) -> None:
    for _ in range(200):
        token = secrets.token_urlsafe(length)
        told = without_secrets(f'"GET /calendar/{token}.ics?of={token} HTTP/1.1"')
        assert told == f'"GET /calendar/{token[:6]}....ics?of={token[:6]}... HTTP/1.1"'


@pytest.mark.parametrize(
    "address",
    [
        "/jobs/2026-008/foundation/",
        "/static/installs/overpass-variable.woff2",
        "/people/12/archive/?next=/a/",
    ],
)
def test_an_address_that_tells_nothing_is_whole(address: str) -> None:
    assert without_secrets(address) == address


def test_the_lines_of_the_firms_server_hold_no_secret(tmp_path: Path) -> None:
    """By the compose file's own words, and by an address that opens nothing."""
    log, token = tmp_path / "log", secrets.token_urlsafe(32)
    schema_for(tmp_path)
    env = {**os.environ, "VAR_DIR": str(tmp_path), "DJANGO_SETTINGS_MODULE": "installs.settings"}
    address = f"/calendar/{token}.ics"
    with served(env, log) as link:
        link.request("GET", address, headers={"Referer": f"http://a{address}"})
        assert link.getresponse().status == 404
    told = log.read_text()
    assert f'"GET /calendar/{token[:6]}....ics HTTP/1.1"' in told and token not in told
    assert re.search(r"^[0-9a-f]{32} 127\.0\.0\.1 ", told, re.MULTILINE), "the request's id is whole"
