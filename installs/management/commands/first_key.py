"""Print the address at which the firm and its first person are entered, with a key that opens it once."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from installs.env import env_int
from installs.people.first_key import address_of, is_empty, make_key


class Command(BaseCommand):
    help = __doc__

    def handle(self, *args: Any, **options: Any) -> None:
        if not is_empty():
            raise CommandError("Somebody is here already; first_person --recover brings in one more.")
        if settings.PRODUCTION:
            site = f"https://{settings.ALLOWED_HOSTS[0]}"
        else:
            site = f"http://127.0.0.1:{env_int('PORT', 8000, low=1, high=65535)}"
        self.stdout.write(address_of(make_key(), site))
