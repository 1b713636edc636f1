"""How many seasons keep the promised dates: asked, followed, and told as tally marks."""

from __future__ import annotations

from calendar import month_name
from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods

from crew.solver import chances as services
from crew.solver.chance_forms import MONTHS, OTHERS, ChanceForm, proposed, typed_of
from crew.solver.drawing import tally_svg
from crew.solver.models import SeasonChance, TentativePlan
from crew.solver.page import kept_words, protect_words
from installs.people.access import allow
from installs.people.requests import PersonRequest
from installs.sent.once import once

SHOWN = 20  # of those that were asked, the newest
LONGEST = 9  # digits of a key in an address


@allow("plan crew days")
@require_http_methods(["GET", "POST"])
def chances(request: PersonRequest) -> HttpResponse:
    """What is assumed, and those that were asked; POST asks anew. ``?of=`` names a tentative plan."""
    if request.method == "GET":
        return _page(request, ChanceForm(initial=_initial(request)), 200)
    form = ChanceForm(request.POST)
    if form.is_valid():
        try:
            with once(request) as press:
                known = form.known(request.user.initials)
                plan = form.cleaned_data["of"]
                row = services.ask_chance(plan, form.assumed, known, by=request.user, at=timezone.now())
                press.to = redirect("chance", pk=row.pk)
            return press.to
        except ValidationError as error:
            form.add_error(None, error.messages)
    return _page(request, form, 422)


def _initial(request: PersonRequest) -> dict[str, Any]:
    """Of a plan that is named, else as an earlier one was asked, else of the crew days."""
    again, of = request.GET.get("again", ""), request.GET.get("of", "")
    if _is_key(again) and (row := SeasonChance.objects.filter(pk=int(again)).first()):
        return {"of": row.of_id, **typed_of(services.assumed_of(row))}
    plan = TentativePlan.objects.filter(pk=int(of)).first() if _is_key(of) else None
    return {"of": plan.pk if plan else None, **typed_of(proposed(plan)[0])}


def _is_key(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) <= LONGEST


def _page(request: PersonRequest, form: ChanceForm, status: int) -> HttpResponse:
    rows = SeasonChance.objects.select_related("work", "made_by", "of")[:SHOWN]
    return render(request, "crew/solver/chances.html", {"form": form, "rows": rows}, status=status)


def _chance(pk: int) -> dict[str, Any]:
    row = get_object_or_404(SeasonChance.objects.select_related("work", "made_by", "of"), pk=pk)
    told = row.told
    promises = []
    for each in told.get("promises", ()):
        kept, words = kept_words(each["share"], date.fromisoformat(each["on"]))
        promises.append(
            {
                "number": each["number"],
                "words": words,
                "drawing": mark_safe(tally_svg(kept, f"{each['number']}: {words}")),
                "ends": date.fromisoformat(each["ends"]),
            }
        )
    typed = typed_of(services.assumed_of(row))
    return {
        "chance": row,
        "promises": promises,
        "protect": protect_words(told.get("protect")),
        "percent": round(100 * row.work.progress_share) if row.work else 0,
        "months": [
            {
                "name": month_name[month],
                **{k: (typed[f"{k}_{month}"], row.known.get(f"{k}_{month}", "")) for k in ("lift", "pour")},
            }
            for month in MONTHS
        ],
        "others": [(label, typed[name], row.known.get(name, "")) for name, (label, _, _) in OTHERS.items()],
    }


@allow("plan crew days")
@require_GET
def chance(request: PersonRequest, pk: int) -> HttpResponse:
    return render(request, "crew/solver/chance.html", _chance(pk))


@allow("plan crew days")
@never_cache
@require_GET
def state(request: PersonRequest, pk: int) -> HttpResponse:
    """How far it is, asked again every 2 s while it is worked; a whole page without htmx."""
    if not request.htmx:
        return redirect("chance", pk=pk)
    return render(request, "crew/solver/_chance.html", _chance(pk))
