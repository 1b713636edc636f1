"""Bring in the first person of the office; with --recover one more, or one who cannot sign in any more.

Asks for what is not given. The password is asked twice, or is the first line of the input where that is no
terminal. It stands in the firm's log as done on the server.
"""

from __future__ import annotations

import getpass
import sys
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from installs.people.models import User
from installs.people.services import bring_in


class Command(BaseCommand):
    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--sign-in", help="sign-in name: pat")
        parser.add_argument("--name", help="the person's name: Pat Orme")
        parser.add_argument("--recover", action="store_true", help="although somebody of the office signs in")

    def handle(self, *args: Any, recover: bool, **options: Any) -> None:
        if not recover and (there := User.objects.of_the_office().first()):
            raise CommandError(f"{there.full_name} of the office signs in. --recover brings in another one.")
        sign_in, name = options["sign_in"], options["name"]
        if sign_in is None:
            sign_in = _asked("Sign-in name (pat): ")
        known = recover and User.objects.filter(username=sign_in.strip().lower()).exists()
        if name is None:
            name = "" if known else _asked("Name (Pat Orme): ")
        try:
            person = bring_in(name, sign_in, _password(), recover=recover, at=timezone.now())
        except ValidationError as error:
            raise CommandError("\n".join(_faults(error))) from error
        self.stdout.write(f"{person.full_name} signs in as {person.username}, of the office.")


def _asked(words: str) -> str:
    try:
        return input(words)
    except EOFError as error:
        raise CommandError(f"{words.rstrip(': ')} is missing.") from error


def _password() -> str:
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\n")
    password = getpass.getpass("Password: ")
    if getpass.getpass("Once more: ") != password:
        raise CommandError("The two passwords are not the same.")
    return password


def _faults(error: ValidationError) -> list[str]:
    if not hasattr(error, "error_dict"):
        return error.messages
    called = {"username": "Sign-in name", "full_name": "Name", "initials": "Initials", "password": "Password"}
    return [f"{called.get(name, name)}: {' '.join(words)}" for name, words in error.message_dict.items()]
