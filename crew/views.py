from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_GET

from installs.people.access import allow


@allow("see")
@require_GET
def home(request: HttpRequest) -> HttpResponse:
    return redirect("jobs")
