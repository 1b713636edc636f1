"""Load the demo firm into an empty database and print its sign-ins; --reset rebuilds it."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import transaction
from django.utils import timezone

from crew.demo.build import build, wipe
from installs.people.models import User


class Command(BaseCommand):
    help = "Load the demo into an empty database and print its sign-ins."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--reset", action="store_true", help="throw the demo away and build it anew")
        parser.add_argument("--if-empty", action="store_true", help="say nothing if there are people already")

    def handle(self, *args: Any, **options: Any) -> None:
        if User.objects.exists():
            if options["if_empty"]:
                return
            if not options["reset"]:
                raise CommandError("There are people in this database already; --reset throws the demo away.")
            if not User.objects.filter(username="alma", full_name="Alma Reyes").exists():
                raise CommandError("This database does not hold the demo; it is not touched.")
            wipe()
        with transaction.atomic():
            cast = build(timezone.now())
        self.stdout.write("Demo sign-ins (random, for this machine only):")
        for sign_in, password in cast.passwords.items():
            self.stdout.write(f"  {sign_in:<10} {password}   {cast[sign_in].role}")
