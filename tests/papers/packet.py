"""Orders a packet of an invented job in the database of VAR_DIR: packet.py"""

from __future__ import annotations

import os
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "installs.settings")

import django

django.setup()

from installs.papers import gathering  # noqa: E402
from installs.papers.services import order_paper  # noqa: E402
from tests.make import AT, alma, make_job  # noqa: E402
from tests.papers.conftest import PARTS, equipment_of_our_own, release, sheets_of_our_own  # noqa: E402

gathering.sheet_functions = sheets_of_our_own
gathering.equipment = equipment_of_our_own
office = alma()
job = make_job(by=office)
for part in PARTS:
    release(job, part, office)
order_paper(job, "permit packet", by=office, at=AT)
