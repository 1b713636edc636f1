"""Tells whoever looks after the server of an error: by mail to ADMINS, or to a hook.

What is told is the request's id, the path, the kind of error and where in our code it arose. Never what was
typed, who was signed in, or an error's own words, for they may hold either: the log has those.
"""

from __future__ import annotations

import json
import logging
import re
import threading
import time
import traceback
import urllib.request

from django.conf import settings
from django.core.mail import mail_admins

from installs.work.request_id import current_request_id

log = logging.getLogger(__name__)

AGAIN_AFTER_S = 600  # the same error at the same place is told once in this time
HOOK_TIMEOUT_S = 10
OURS = re.compile("(installs|crew|sitecalc)/")


class Alarm(logging.Handler):
    """Of records at ERROR. Sends from a thread of its own, so that no answer waits for a mail server."""

    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self._told: dict[str, float] = {}

    def emit(self, record: logging.LogRecord) -> None:
        if not (settings.ADMINS or settings.ALARM_HOOK):
            return
        cause, lines = what_happened(record)
        now = time.monotonic()
        if now - self._told.get(cause, -AGAIN_AFTER_S) < AGAIN_AFTER_S:
            return
        self._told[cause] = now
        lines = {"request": current_request_id(), **lines}
        threading.Thread(target=tell, args=(cause, lines), name="alarm", daemon=True).start()


def what_happened(record: logging.LogRecord) -> tuple[str, dict[str, str]]:
    """The cause in one line, and what else may be told: no arguments of the record, no words of the error."""
    error = record.exc_info[1] if record.exc_info else None
    # the words of the code, before anything of the case is put in
    cause = f"{type(error).__name__} at {where(error)}" if error else str(record.msg)[:200]
    lines = {"logger": record.name}
    request = getattr(record, "request", None)
    if request is not None:
        lines |= {"asked": f"{request.method} {request.path}", "status": str(record.__dict__["status_code"])}
    elif error:
        lines["said"] = str(record.msg)[:200]
    return cause, lines


def where(error: BaseException) -> str:
    """ "installs/pour/views.py line 52, in page": the last of our own lines that it passed, else the last."""
    frames = traceback.extract_tb(error.__traceback__)
    ours = [f for f in frames if OURS.match(f.filename.removeprefix(f"{settings.BASE_DIR}/"))]
    for frame in reversed(ours or frames):
        return f"{frame.filename.removeprefix(f'{settings.BASE_DIR}/')} line {frame.lineno}, in {frame.name}"
    return "an unknown place"


def tell(cause: str, lines: dict[str, str]) -> None:
    """An alarm that cannot be sent is itself no more than a warning in the log."""
    words = "\n".join([cause, *(f"{name}: {value}" for name, value in lines.items())])
    for way in (by_mail, by_hook):
        try:
            way(cause, words, lines)
        except Exception as error:  # whatever the mail server or the hook does, the answer has been given
            log.warning("the alarm could not be sent %s: %s", way.__name__.replace("_", " "), error)


def by_mail(cause: str, words: str, lines: dict[str, str]) -> None:
    if settings.ADMINS:
        mail_admins(cause, words)


def by_hook(cause: str, words: str, lines: dict[str, str]) -> None:
    """POST of JSON: ``text`` for a chat's hook, beside it the same in parts."""
    if not settings.ALARM_HOOK:
        return
    body = json.dumps({"text": words, "cause": cause, **lines}).encode()
    asked = urllib.request.Request(settings.ALARM_HOOK, body, {"Content-Type": "application/json"})
    with urllib.request.urlopen(asked, timeout=HOOK_TIMEOUT_S):
        pass
