"""The office's page of calendar addresses, and what such an address answers."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from crew.feeds import services
from crew.feeds.forms import FeedForm
from crew.feeds.models import Feed
from installs.people.access import allow
from installs.people.requests import PersonRequest
from installs.sent.once import once, sends


@allow("plan crew days")
@require_http_methods(["GET", "POST"])
@sends("a newer address ends the one before")
def feeds(request: PersonRequest) -> HttpResponse:
    """Who has a calendar; POST makes an address, which is shown this once."""
    form, address, of, status = FeedForm(request.POST or None), "", "", 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                token = services.make_feed(form.of, by=request.user, at=timezone.now())
                address = request.build_absolute_uri(reverse("feed", args=[token]))
                of, form, status = str(form.of), FeedForm(), 200
            except ValidationError as error:
                form.add_error(None, error.messages)
    rows = Feed.objects.select_related("person", "crew", "crane", "made_by", "ended_by")
    context = {"form": form, "address": address, "of": of, "rows": rows.order_by("-made_at", "-pk")[:200]}
    return render(request, "crew/feeds/feeds.html", context, status=status)


@allow("plan crew days")
@require_POST
def feed_end(request: PersonRequest, pk: int) -> HttpResponse:
    feed = get_object_or_404(Feed.objects.select_related("person", "crew", "crane"), pk=pk)
    try:
        with once(request, redirect("feeds")) as press:
            row = (
                Feed.objects.select_for_update(of=("self",))
                .select_related("person", "crew", "crane")
                .get(pk=pk)
            )
            press.saw(row)
            services.end_feed(row, by=request.user, at=timezone.now())
    except ValidationError as error:
        messages.error(request, f"{feed}: {' '.join(error.messages)}")
    return redirect("feeds")


@allow("anyone")
@require_GET
def feed(request: HttpRequest, token: str) -> HttpResponse:
    """The calendar of an open address, for a program that signs in nowhere; else there is nothing here."""
    found = services.feed_of(token)
    if found is None:
        raise Http404
    days = services.days_of(found, timezone.now().date())
    answer = HttpResponse(services.calendar_of(found, days), content_type="text/calendar; charset=utf-8")
    answer["Cache-Control"] = "private, no-store"
    # the address is the key: no page that it leads to, and no search engine, is told of it
    answer["Referrer-Policy"] = "no-referrer"
    answer["X-Robots-Tag"] = "noindex"
    return answer
