from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from installs.people.access import allow


@allow("see")
@require_GET
def book(request: HttpRequest, number: str) -> HttpResponse:
    return render(request, "installs/book/book.html", {"job": request.job})
