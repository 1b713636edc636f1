"""An address as a log may tell it.

A calendar's address opens it to whoever has it, and a log is read by more people than may see the crew's
days. Words as long as such a secret are told by their beginning: enough to find one address again, too
little to open it.
"""

from __future__ import annotations

import logging
import re

# secrets.token_urlsafe(24) and longer; a file's sha256 in an address is told so too
SECRET = re.compile(r"(?<![\w-])([\w-]{6})[\w-]{26,}")


def without_secrets(address: str) -> str:
    return SECRET.sub(r"\1...", address)


class WithoutSecrets(logging.Filter):
    """Addresses among what a line is made of; they begin with a slash."""

    def filter(self, record: logging.LogRecord) -> bool:
        if isinstance(record.args, tuple):
            record.args = tuple(
                without_secrets(each) if isinstance(each, str) and each.startswith("/") else each
                for each in record.args
            )
        return True
