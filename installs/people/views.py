from __future__ import annotations

from django.contrib import messages
from django.contrib.auth import login, logout
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from installs.people import services
from installs.people.access import allow
from installs.people.firm_rows import save_row
from installs.people.forms import CertificateForm, FirmForm, PersonForm, SignInForm
from installs.people.models import Certificate, Firm, User
from installs.people.requests import PersonRequest


@allow("anyone")
@never_cache
@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """The same answer for an unknown name and a wrong password."""
    form = SignInForm(request.POST if request.method == "POST" else None)
    status = 422 if request.method == "POST" else 200
    if request.method == "POST" and form.is_valid():
        now = timezone.now()
        name = form.cleaned_data["username"]
        if services.too_many_tries(name, request.META.get("REMOTE_ADDR"), now):
            services.held_off(request, name, now)
            form.add_error(None, "Too many tries. Wait a quarter of an hour, or ask the office.")
            status = 429
        elif user := services.sign_in(request, name, form.cleaned_data["password"], now):
            login(request, user)
            onward = request.POST.get("next", "")
            safe = url_has_allowed_host_and_scheme(onward, {request.get_host()}, request.is_secure())
            # a path of ours, not a word that might be the name of a page
            return HttpResponseRedirect(onward) if safe and onward.startswith("/") else redirect("home")
        else:
            form.add_error(None, "Name and password do not match.")
    onward = request.POST.get("next") or request.GET.get("next", "")
    return render(request, "installs/people/sign_in.html", {"form": form, "next": onward}, status=status)


@allow("see")
@require_POST
def sign_out(request: PersonRequest) -> HttpResponse:
    logout(request)
    return redirect("sign-in")


@allow("manage people")
@require_http_methods(["GET"])
def people(request: PersonRequest) -> HttpResponse:
    shown = User.objects.current().prefetch_related("certificates")
    carried = Certificate.objects.filter(carried_over=True, archived_on=None, person__in=shown).count()
    context = {"people": shown, "today": timezone.localdate(), "carried": carried}
    return render(request, "installs/people/people.html", context)


@allow("manage people")
@require_http_methods(["GET", "POST"])
def firm(request: PersonRequest) -> HttpResponse:
    """The firm's own figures: what stands on papers, and the limits that no lift goes over."""
    kept = Firm.objects.first() or Firm(pk=1)
    form = FirmForm(request.POST if request.method == "POST" else None, instance=kept)
    if request.method == "POST" and form.is_valid():
        save_row(form, "firm", by=request.user, at=timezone.now())
        return redirect("firm")
    status = 422 if request.method == "POST" else 200
    return render(request, "installs/people/firm.html", {"form": form}, status=status)


@allow("manage people")
@require_http_methods(["GET", "POST"])
def person(request: PersonRequest, pk: int | None = None) -> HttpResponse:
    """Add or change a person, and their certificates (a renewed card is a new line)."""
    kept = get_object_or_404(User, pk=pk) if pk else None
    form = PersonForm(request.POST if "save" in request.POST else None, instance=kept)
    card = CertificateForm(request.POST if "add-card" in request.POST else None)
    if "save" in request.POST and form.is_valid():
        return redirect("person", services.save_person(form, by=request.user, at=timezone.now()).pk)
    if kept and "add-card" in request.POST and card.is_valid():
        services.add_certificate(kept, card, by=request.user, at=timezone.now())
        return redirect("person", kept.pk)
    status = 422 if request.method == "POST" else 200
    context = {"form": form, "card": card, "person": kept, "today": timezone.localdate()}
    return render(request, "installs/people/person.html", context, status=status)


@allow("manage people")
@require_POST
def archive(request: PersonRequest, pk: int) -> HttpResponse:
    try:
        kept = get_object_or_404(User, pk=pk)
        services.archive_person(kept, timezone.localdate(), by=request.user, at=timezone.now())
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect("person", pk)
    return redirect("people")


@allow("manage people")
@require_POST
def archive_card(request: PersonRequest, pk: int) -> HttpResponse:
    card = get_object_or_404(Certificate, pk=pk)
    services.archive_certificate(card, timezone.localdate(), by=request.user, at=timezone.now())
    return redirect("person", card.person_id)
