"""Write the access table of the code into DEVELOPERS.md."""

from __future__ import annotations

import re
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from installs.people.access import table

MARK = re.compile(r"(<!-- access table: manage.py access -->\n).*?(\n<!-- end -->)", re.S)


class Command(BaseCommand):
    help = "Write the access table into DEVELOPERS.md."

    def handle(self, *args: Any, **options: Any) -> None:
        page = settings.BASE_DIR / "DEVELOPERS.md"
        page.write_text(MARK.sub(lambda m: m[1] + table() + m[2], page.read_text()))
