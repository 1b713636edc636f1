"""Put a backup into an empty place, and check that the record there is the one that was backed up."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import connection

from installs.people.factor import lost_under_this_key
from installs.record.backup import NotRestored, restore


class Command(BaseCommand):
    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path)

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        try:
            manifest = restore(file)
        except (NotRestored, OSError) as error:
            raise CommandError(str(error)) from error
        if connection.vendor == "sqlite":  # one of an earlier version comes with its own tables
            call_command("migrate", interactive=False, verbosity=0)
        self.stdout.write(f"Restored as of {manifest.made_at}.")
        call_command("chains", stdout=self.stdout)
        if words := lost_under_this_key():
            self.stdout.write(words)
