from __future__ import annotations

from collections.abc import Iterable
from functools import partial

from django.core.exceptions import ValidationError
from django.http import HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from installs.jobs.material_lines import Good
from installs.jobs.requests import JobRequest
from installs.materials.forms import QuoteForm, ValuationForm
from installs.materials.gathering import as_csv, by_phase, goods_of, part_lists, with_prices
from installs.materials.models import Price
from installs.materials.pricing import counting_prices, is_old
from installs.materials.services import record_quote, record_valuation, withdraw_price
from installs.people.access import allow, may
from installs.people.firm_log import lock_firm_log
from installs.people.requests import PersonRequest
from installs.sent.once import once
from installs.sent.rows import post_row


@allow("see")
@require_GET
def materials(request: JobRequest, number: str) -> HttpResponse:
    """Material lists by phase from the released designs; for the office with what they come to."""
    lists = part_lists(request.job)
    context = {"job": request.job, "lists": lists, "phases": by_phase(lists)}
    if may(request.user, "edit job", request.job):
        context["cost"] = with_prices(lists, counting_prices(), timezone.localdate())
    return render(request, "installs/materials/materials.html", context)


@allow("see")
@require_GET
def as_file(request: JobRequest, number: str) -> HttpResponse:
    prices = counting_prices() if may(request.user, "edit job", request.job) else None
    text = as_csv(request.job, part_lists(request.job), prices)
    response = HttpResponse(text, content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{number}-materials.csv"'
    return response


@allow("edit job")
@require_http_methods(["GET", "POST"])
def job_prices(request: JobRequest, number: str) -> HttpResponse:
    """A supplier's quote for what this job buys."""
    goods = goods_of(part_lists(request.job))
    return _quote(request, goods, redirect("materials", number), {"job": request.job})


@allow("record permits")
@require_http_methods(["GET", "POST"])
def valuation(request: JobRequest, number: str) -> HttpResponse:
    """What the work is valued at, for the building department: the newest counts, the earlier ones stay."""
    now = timezone.now()
    today = request.job.local(now).date()
    cost = with_prices(part_lists(request.job), counting_prices(), today).cost
    make = partial(ValuationForm, cost=cost, today=today)
    form, status = make(initial={"said_on": today}), 200
    if request.method == "POST":

        def save(typed: ValuationForm) -> HttpResponseRedirect:
            record_valuation(request.job, typed.save(commit=False), by=request.user, at=now)
            return redirect("valuation-add", request.job.number)

        posted = post_row(request, make, save=save)
        if posted.to:
            return posted.to
        form, status = posted.form, posted.status
    rows = request.job.valuations.select_related("recorded_by").order_by("-pk")
    shown = {"job": request.job, "form": form, "rows": rows, "cost": cost}
    return render(request, "installs/materials/valuation.html", shown, status=status)


@allow("manage people")
@require_http_methods(["GET", "POST"])
def prices(request: PersonRequest) -> HttpResponse:
    """The firm's price basis: every good that has a price, and a new quote for them."""
    return _quote(request, sorted(counting_prices()), redirect("prices"), {"job": None})


@allow("manage people")
@require_POST
def price_withdraw(request: PersonRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Price, pk=pk)
    to = redirect("prices")
    with once(request, to) as press:
        lock_firm_log()  # a quote is added under it too
        counts = counting_prices()[Good(row.good, row.unit)]
        press.saw(counts, f"Withdraw: {row}")
        withdraw_price(counts, on=timezone.localdate(), by=request.user, at=timezone.now())
    return to


def _quote(
    request: PersonRequest, goods: Iterable[Good], to: HttpResponseRedirect, context: dict[str, object]
) -> HttpResponse:
    known, today = counting_prices(), timezone.localdate()
    form = QuoteForm(
        request.POST or None, goods=goods, prices=known, today=today, initial={"quoted_on": today}
    )
    status = 200
    if request.method == "POST":
        if form.is_valid():
            try:
                with once(request, to):
                    record_quote(
                        form.typed,
                        quoted_on=form.cleaned_data["quoted_on"],
                        source=form.cleaned_data["source"],
                        by=request.user,
                        at=timezone.now(),
                    )
                return to
            except ValidationError as error:
                form.add_error(None, error)
        status = 422
    old = {price.pk for price in known.values() if is_old(price, today)}
    shown = {**context, "form": form, "old": old}
    return render(request, "installs/materials/prices.html", shown, status=status)
