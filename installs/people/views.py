from __future__ import annotations

from functools import partial

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
from installs.people.forms import CertificateForm, FirmForm, PersonForm, SignInForm
from installs.people.models import Certificate, Firm, User
from installs.people.requests import PersonRequest
from installs.sent.once import once, sends
from installs.sent.rows import post_row


@allow("anyone")
@sends("signing in keeps nothing")
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
@sends("signing out twice is signing out")
@require_POST
def sign_out(request: PersonRequest) -> HttpResponse:
    logout(request)
    return redirect("sign-in")


@allow("manage people")
@require_http_methods(["GET"])
def people(request: PersonRequest) -> HttpResponse:
    shown = User.objects.current().prefetch_related("certificates")
    return render(request, "installs/people/people.html", {"people": shown, "today": timezone.localdate()})


@allow("manage people")
@require_http_methods(["GET", "POST"])
def firm(request: PersonRequest) -> HttpResponse:
    """The firm's own figures: what stands on papers, and the limits that no lift goes over."""
    form, status = FirmForm(instance=Firm.objects.first() or Firm(pk=1)), 200
    if request.method == "POST":
        posted = post_row(request, FirmForm, row=services.locked_firm, save=_kept_firm)
        if posted.to:
            return posted.to
        form, status = posted.form, posted.status
    return render(request, "installs/people/firm.html", {"form": form}, status=status)


def _kept_firm(form: FirmForm) -> HttpResponseRedirect:
    form.save()
    return redirect("firm")


@allow("manage people")
@require_http_methods(["GET", "POST"])
def person(request: PersonRequest, pk: int | None = None) -> HttpResponse:
    """Add or change a person, and their certificates (a renewed card is a new line)."""
    kept = get_object_or_404(User, pk=pk) if pk else None
    form, card, status = (
        PersonForm(instance=kept),
        CertificateForm(),
        422 if request.method == "POST" else 200,
    )
    if "save" in request.POST:
        saved = post_row(
            request,
            PersonForm,
            row=partial(services.locked_person, kept) if kept else None,
            save=lambda form: redirect("person", services.save_person(form).pk),
        )
        if saved.to:
            return saved.to
        form, status = saved.form, saved.status
    elif kept and "add-card" in request.POST:
        added = post_row(
            request,
            CertificateForm,
            save=lambda card: redirect("person", services.add_certificate(kept, card).person_id),
        )
        if added.to:
            return added.to
        card = added.form
    context = {"form": form, "card": card, "person": kept, "today": timezone.localdate()}
    return render(request, "installs/people/person.html", context, status=status)


@allow("manage people")
@require_POST
def archive(request: PersonRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(User, pk=pk)
    try:
        with once(request, redirect("people")) as press:
            press.saw(services.locked_person(person))
            services.archive_person(person, timezone.localdate())
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect("person", pk)
    return redirect("people")


@allow("manage people")
@require_POST
def archive_card(request: PersonRequest, pk: int) -> HttpResponse:
    card = get_object_or_404(Certificate, pk=pk)
    with once(request, redirect("person", card.person_id)) as press:
        press.saw(Certificate.objects.select_for_update().get(pk=pk))
        services.archive_certificate(card, timezone.localdate())
    return redirect("person", card.person_id)
