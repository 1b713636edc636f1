"""What opens a sign-in stands in no log: neither the server's own lines nor those of our program have it."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path
from urllib.parse import urlencode

from tests.prepared import schema_for
from tests.served import ROOT, served

NEW = "brass gate over snow"
LINK = """
import django; django.setup()
from django.utils import timezone
from installs.people.links import make_link
from installs.people.models import User
alma = User.objects.create_user("alma", full_name="Alma Reyes", role="office", initials="AR")
june = User.objects.create_user("june", full_name="June Hazel", role="crew", initials="JH", is_active=False)
print(make_link(june, by=alma, at=timezone.now()))
"""


def test_a_one_time_link_leaves_no_trace_of_its_token(tmp_path: Path) -> None:
    schema_for(tmp_path)
    env = {**os.environ, "VAR_DIR": str(tmp_path), "DJANGO_SETTINGS_MODULE": "installs.settings"}
    made = subprocess.run([sys.executable, "-c", LINK], cwd=ROOT, env=env, capture_output=True, check=True)
    token, log, page = made.stdout.decode().split()[-1], tmp_path / "web.log", "/sign-in/link/"
    with served(env, log) as link:
        link.request("GET", page)
        answer = link.getresponse()
        cookie = answer.getheader("Set-Cookie", "").partition(";")[0]
        given = re.search(rb'name="csrfmiddlewaretoken" value="(\w+)"', answer.read())
        assert given is not None
        fields = {"csrfmiddlewaretoken": given[1].decode(), "token": token}
        head = {"Cookie": cookie, "Content-Type": "application/x-www-form-urlencoded", "Referer": page}
        # opened, a slip of the hand, used, and used a second time
        for more, status in (({}, 200), ({"new": "x", "again": "x"}, 422), ({"new": NEW, "again": NEW}, 302),
                             ({"new": NEW, "again": NEW}, 410)):  # fmt: skip
            link.request("POST", page, urlencode({**fields, **more}), head)
            answer = link.getresponse()
            answer.read()
            assert answer.status == status
    said = log.read_text()
    assert said.count(f"POST {page}") >= 4 and "410" in said, "the lines of the four presses are there"
    assert token not in said
    for file in (tmp_path / "log").glob("*") if (tmp_path / "log").exists() else ():
        assert token not in file.read_text(errors="replace")
