"""Whether this process can serve: for the container's health check and the local start."""

from __future__ import annotations

import shutil
from datetime import timedelta

from django.conf import settings
from django.db import Error
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from installs.people.access import allow
from installs.work.models import Pulse

LEAST_FREE_MB = 200
BEAT = timedelta(seconds=5)  # whoever asks more often is answered from the last one


@allow("anyone")
@never_cache
@require_safe
def health(request: HttpRequest) -> HttpResponse:
    """200 "ok" when the database takes and gives back a row and there is room on the disk, else 503."""
    fault = fault_of_server()
    return HttpResponse(fault or "ok", status=503 if fault else 200, content_type="text/plain")


def fault_of_server() -> str:
    """Why this server cannot keep what it is sent, in words; "" when it can."""
    now = timezone.now()
    try:
        last = Pulse.objects.filter(pk=1).first()
        if last is None or not timedelta() <= now - last.at < BEAT:
            Pulse.objects.update_or_create(pk=1, defaults={"at": now})
    except Error:
        return "the database does not answer or takes nothing"
    free_mb = shutil.disk_usage(settings.VAR_DIR).free / 1e6
    return f"{free_mb:.0f} MB free on the disk" if free_mb < LEAST_FREE_MB else ""
