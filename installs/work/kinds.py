"""What is put in order each night."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from installs.sent.once import remove_old
from installs.work.registry import kind
from installs.work.runner import Work


@kind("sent.remove-old", queue="papers", nightly=True)
def remove_old_forms(work: Work) -> dict[str, Any]:
    return {"removed": remove_old(timezone.now())}
