from __future__ import annotations

from functools import cache
from typing import Any

from django.http import HttpRequest

from installs.people.access import ABILITIES, may
from installs.people.models import Firm


def firm(request: HttpRequest) -> dict[str, Any]:
    """The firm for the title block, and what this person may do as ``can`` with underscores; of an archived
    job what it still has, so that its pages offer nothing else.

    The firm is asked for once in a request, however many templates it renders, and not at all where its name
    does not stand.
    """
    ask_firm = vars(request).setdefault("ask_firm", cache(Firm.objects.first))
    job = getattr(request, "job", None)
    can = (
        {ability.replace(" ", "_"): may(request.user, ability, job) for ability in ABILITIES}
        if hasattr(request, "user")
        else {}
    )
    return {"firm": ask_firm, "can": can}
