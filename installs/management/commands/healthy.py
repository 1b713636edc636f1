"""Exit 0 when this part of the services does its work, else 1 and a line: for container health checks."""

from __future__ import annotations

import http.client
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from installs.work.queues import QUEUES
from installs.work.services import is_served


class Command(BaseCommand):
    help = __doc__
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("part", choices=["web", *QUEUES])
        parser.add_argument("port", nargs="?", type=int, default=8000)

    def handle(self, *args: Any, part: str, port: int, **options: Any) -> None:
        if part == "web":
            fault = web_fault(port)
        else:
            fault = "" if is_served(part, at=timezone.now()) else f"what waits in {part} is not taken up"
        if fault:
            raise CommandError(fault)


def web_fault(port: int) -> str:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    try:
        connection.request("GET", "/health", headers={"Host": settings.ALLOWED_HOSTS[0]})
        answer = connection.getresponse()
        return "" if answer.status == 200 else f"{answer.status} {answer.read(200).decode(errors='replace')}"
    except OSError as error:
        return f"no answer: {error}"
    finally:
        connection.close()
