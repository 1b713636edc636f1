"""One crew day: moved with what goes with it, struck, blown off, other people, worked after all."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from crew.days.moving import Moves, move_along, moves
from crew.plan import services
from crew.plan.forms import BlownOffForm, MoveForm, StrikeForm, WhoForm, keys_of
from crew.plan.models import CrewDay
from crew.plan.order import LIFTS
from installs.people.access import allow
from installs.people.requests import PersonRequest
from installs.sent.once import Press, once

Forms = dict[str, forms.BaseForm]


def _days() -> QuerySet[CrewDay]:
    related = ("job", "crew", "crane", "plan", "made_by", "struck_by", "worked_by", "moved_from", "moved_to")
    return CrewDay.objects.select_related(*related).prefetch_related("people")


@allow("plan crew days")
@require_http_methods(["GET", "POST"])
def crew_day(request: PersonRequest, pk: int) -> HttpResponse:
    """A crew day, and moving it. ``?on=`` shows what would go with it on that date; with htmx that alone."""
    day = get_object_or_404(_days(), pk=pk)
    now = timezone.now()
    if request.method == "GET":
        asked = MoveForm(request.GET) if "on" in request.GET else None
        on = day.on if asked is None or asked["on"].errors else asked.cleaned_data.get("on") or day.on
        found = moves(day, on, request.user, now)
        if request.htmx:
            return render(request, "crew/days/_along.html", {"found": found, "ticked": None})
        return _page(request, day, found)
    form = MoveForm(request.POST)
    ticked = keys_of(request.POST.getlist("along"))
    if not form.is_valid() or form.cleaned_data["on"] is None:
        if form.is_valid():
            form.add_error("on", "To which date?")
        return _page(request, day, moves(day, day.on, request.user, now), {"form": form}, ticked)
    on, why = form.cleaned_data["on"], form.cleaned_data["why"]
    found = moves(day, on, request.user, now)
    if found.along and request.POST.get("shown_for") != on.isoformat():
        form.add_error("on", "Other days go with it: read them below, then move it.")
        return _page(request, day, found, {"form": form})
    try:
        with once(request, redirect("crew-days")) as press:
            services.locked_day(day)
            found = moves(_days().get(pk=pk), on, request.user, now)
            press.saw(found.seen)
            moved = move_along(found, why, ticked, by=request.user, at=now)
    except ValidationError as error:
        form.add_error("on", error.messages)
        return _page(request, day, found, {"form": form}, ticked)
    others = f", and {len(moved) - 1} with it" if len(moved) > 1 else ""
    messages.success(request, f"Moved{others}, tentative until the next plan is issued.")
    return redirect("crew-days")


def _page(
    request: PersonRequest,
    day: CrewDay,
    found: Moves,
    bound: Forms | None = None,
    ticked: set[int] | None = None,
) -> HttpResponse:
    """``bound`` are the forms that come back with what was typed."""
    free = _kept_free(day)
    context: dict[str, Any] = {
        "day": day,
        "found": found,
        "ticked": ticked,
        "form": MoveForm(initial={"on": found.to}),
        "strike": StrikeForm(prefix="strike"),
        "who": WhoForm(day=day),
        "free": free,
        "blown_off": BlownOffForm(prefix="blown"),
        "with_free": moves(day, free.on, request.user, timezone.now()) if free else None,
        "behind": day.on < day.job.local(timezone.now()).date(),
        **(bound or {}),
    }
    return render(request, "crew/days/crew_day.html", context, status=422 if bound else 200)


def _kept_free(day: CrewDay) -> CrewDay | None:
    """The next weather day of a lift, with the same crew."""
    if day.phase not in LIFTS or day.kind != CrewDay.Kind.WORK or day.struck_at:
        return None
    free = CrewDay.objects.standing().filter(
        job=day.job, phase=day.phase, crew=day.crew, kind=CrewDay.Kind.WEATHER, on__gt=day.on
    )
    return free.order_by("on").first()


def _posted(
    request: PersonRequest,
    pk: int,
    name: str,
    form: forms.BaseForm,
    do: Callable[[CrewDay, Press], str],
) -> HttpResponse:
    """One button of the day's page, done once by who read the day as it stands; else the page with faults."""
    day = get_object_or_404(_days(), pk=pk)
    if form.is_valid():
        try:
            with once(request, redirect("crew-days")) as press:
                services.locked_day(day)
                said = do(_days().get(pk=pk), press)
            messages.success(request, said)
            return redirect("crew-days")
        except ValidationError as error:
            form.add_error(None, error.messages)
    return _page(request, day, moves(day, day.on, request.user, timezone.now()), {name: form})


@allow("plan crew days")
@require_POST
def strike(request: PersonRequest, pk: int) -> HttpResponse:
    """Take the day off the calendar; it stays, struck through."""
    form = StrikeForm(request.POST, prefix="strike")

    def do(day: CrewDay, press: Press) -> str:
        press.saw(day)
        services.strike_day(day, form.cleaned_data["why"], by=request.user, at=timezone.now())
        return "Struck. It stays on record with your initials and the reason."

    return _posted(request, pk, "strike", form, do)


@allow("plan crew days")
@require_POST
def blown_off(request: PersonRequest, pk: int) -> HttpResponse:
    """The lift is done on the day that was kept free for it, and what hangs on it goes with it."""
    form = BlownOffForm(request.POST, prefix="blown")
    ticked = keys_of(request.POST.getlist("along"))

    def do(day: CrewDay, press: Press) -> str:
        free = _kept_free(day)
        if free is None:
            raise ValidationError("No weather day is kept free for it any more: move the day.")
        found = moves(day, free.on, request.user, timezone.now())
        press.saw(found.seen)
        move_along(found, form.cleaned_data["why"], ticked, by=request.user, at=timezone.now())
        return "The weather day is the day of the lift now, tentative until the next plan is issued."

    return _posted(request, pk, "blown_off", form, do)


@allow("plan crew days")
@require_POST
def who(request: PersonRequest, pk: int) -> HttpResponse:
    """Another crew, other people, note or crane on the same date."""
    form = WhoForm(request.POST, day=get_object_or_404(_days(), pk=pk))

    def do(day: CrewDay, press: Press) -> str:
        press.saw(day)
        given = form.cleaned_data
        services.change_day(
            day,
            crew=given["crew"],
            people=given["people"],
            note=given["note"],
            crane=given.get("crane"),
            by=request.user,
            at=timezone.now(),
        )
        return "Changed, tentative until the next plan is issued."

    return _posted(request, pk, "who", form, do)


@allow("plan crew days")
@require_POST
def worked(request: PersonRequest, pk: int) -> HttpResponse:
    """Of a day behind: it was worked, though nothing on record says so."""
    day = get_object_or_404(_days(), pk=pk)
    try:
        with once(request, redirect("crew-days")) as press:
            services.locked_day(day)
            day = _days().get(pk=pk)
            press.saw(day)
            services.say_worked(day, by=request.user, at=timezone.now())
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    return redirect("crew-days")
