"""Whether this process can serve: for the container's health check and the local start."""

from __future__ import annotations

from django.db import Error, connection
from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from installs.people.access import allow


@allow("anyone")
@never_cache
@require_safe
def health(request: HttpRequest) -> HttpResponse:
    """200 "ok" when the database answers, else 503. Says nothing more to whoever asks."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except Error:
        return HttpResponse("the database does not answer", status=503, content_type="text/plain")
    return HttpResponse("ok", content_type="text/plain")
