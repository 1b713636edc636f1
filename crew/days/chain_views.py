"""A job put down as a chain: its first day and the crews give every day, read first, then put down."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from crew.days.laying import KINDS, Asked, Row, plan_of, put_down, rows_of, seen_of, usual_crews
from crew.plan.chain import MOST_DAYS, USUAL, to_lay
from crew.plan.forms import DATE, RowField, sane_date
from crew.plan.models import Crew
from installs.jobs.getters import locked
from installs.jobs.models import Job
from installs.jobs.phases import BY_KEY
from installs.people.access import allow
from installs.people.requests import PersonRequest
from installs.sent.once import once

CREWS = {"pad": "Dig and pour", "tower": "Tower and lifts", "electric": "Wiring and commissioning"}
MOST_WEATHER_DAYS = 3


class ChainForm(forms.Form):
    """First day and crews; how long each phase takes stands as usual until somebody says otherwise."""

    job = RowField(Job.objects.active())
    first = forms.DateField(label="First day", widget=DATE)

    def __init__(self, data: QueryDict | None = None, *, initial: dict[str, Any] | None = None) -> None:
        crews = Crew.objects.filter(archived_on=None).prefetch_related("people").select_related("foreman")
        found = list(crews)
        usual = usual_crews(found) if found else {}
        super().__init__(data, initial={**{kind: crew.pk for kind, crew in usual.items()}, **(initial or {})})
        for kind in KINDS:
            self.fields[kind] = RowField(crews, label=f"Crew: {CREWS[kind].lower()}")
        for phase, (days, _) in USUAL.items():
            self.fields[_name(phase)] = _count(BY_KEY[phase].title, days, MOST_DAYS)
        self.fields["weather"] = _count("Weather days after each lift", 1, MOST_WEATHER_DAYS)

    def clean_first(self) -> Any:
        return sane_date(self.cleaned_data["first"])

    @property
    def asked(self) -> Asked:
        given = self.cleaned_data
        return Asked(
            job=given["job"],
            first=given["first"],
            crews={kind: given[kind] for kind in KINDS},
            days={phase: _or(given[_name(phase)], days) for phase, (days, _) in USUAL.items()},
            weather_days=_or(given["weather"], 1),
        )

    @property
    def said(self) -> str:
        """What was typed: the days are those of it."""
        return "|".join(str(self.data.get(name, "")) for name in self.fields)

    def whom(self) -> list[forms.BoundField]:
        return [self[name] for name in ("job", "first", *KINDS)]

    def how_long(self) -> list[forms.BoundField]:
        return [self[name] for name in (*map(_name, USUAL), "weather")]


def _name(phase: str) -> str:
    return "days-" + phase.replace(" ", "-")


def _count(label: str, usual: int, most: int) -> forms.IntegerField:
    box = forms.NumberInput(attrs={"inputmode": "numeric", "size": 3})
    return forms.IntegerField(
        label=label, min_value=0, max_value=most, initial=usual, required=False, widget=box
    )


def _or(given: int | None, usual: int) -> int:
    return usual if given is None else given


@allow("plan crew days")
@require_http_methods(["GET", "POST"])
def chain(request: PersonRequest) -> HttpResponse:
    """GET with a first day shows every day; POST puts down what was read."""
    given = request.POST if request.method == "POST" else request.GET
    asked = "first" in given
    form = ChainForm(given) if asked else ChainForm(initial=request.GET.dict())
    rows: tuple[Row, ...] = ()
    status = 200
    if asked and form.is_valid():
        try:
            now = timezone.now()
            rows = rows_of(form.asked, now)
            if request.method == "POST":
                return _put(request, form)
        except ValidationError as error:
            form.add_error(None, error.messages)
    if request.method == "POST":
        status = 422
    job = form.cleaned_data.get("job") if form.is_bound and hasattr(form, "cleaned_data") else None
    context = {
        "form": form,
        "rows": rows,
        "sent_of": seen_of(form.cleaned_data["job"], rows) if rows else None,
        "left_out": _left_out(job) if rows and job else (),
        "crews": Crew.objects.filter(archived_on=None).exists(),
    }
    return render(request, "crew/days/chain.html", context, status=status)


def _left_out(job: Job) -> list[str]:
    """Phases that are begun or have their days."""
    lay = to_lay(plan_of(job, timezone.now()))
    return [BY_KEY[phase].title for phase in USUAL if phase not in lay]


def _put(request: PersonRequest, form: ChainForm) -> HttpResponse:
    """What was typed after the days were read gives other days: they are read first."""
    if request.POST.get("shown_for") != form.said:
        raise ValidationError("These are the days with what you typed: read them, then put them down.")
    with once(request, redirect("crew-days")) as press:
        locked(form.asked.job)
        now = timezone.now()
        rows = rows_of(form.asked, now)
        press.saw(seen_of(form.asked.job, rows))
        put_down(form.asked.job, rows, by=request.user, at=now)
    messages.success(request, f"{len(rows)} days of {form.asked.job.number} are scheduled, tentative.")
    return redirect("crew-days")
