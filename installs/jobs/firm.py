"""The firm's own row, as every page and paper of a job names it."""

from __future__ import annotations

from installs.jobs.reading import read_once
from installs.people.models import Firm


@read_once
def the_firm() -> Firm | None:
    """None before it is entered."""
    return Firm.objects.first()
