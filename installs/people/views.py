from __future__ import annotations

from functools import partial

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from installs.people import services
from installs.people.access import allow
from installs.people.factor import has_factor, take_away
from installs.people.forms import CertificateForm, PersonForm
from installs.people.links import LASTS, make_link
from installs.people.models import Certificate, User
from installs.people.requests import PersonRequest
from installs.people.sessions import sessions_of
from installs.sent.once import once, sends
from installs.sent.rows import post_row


@allow("manage people")
@require_http_methods(["GET"])
def people(request: PersonRequest) -> HttpResponse:
    shown = User.objects.current().prefetch_related("certificates")
    carried = Certificate.objects.filter(carried_over=True, archived_on=None, person__in=shown).count()
    context = {"people": shown, "today": timezone.localdate(), "carried": carried}
    return render(request, "installs/people/people.html", context)


@allow("manage people")
@require_http_methods(["GET", "POST"])
def person(request: PersonRequest, pk: int | None = None) -> HttpResponse:
    """Add or change a person, and their certificates (a renewed card is a new line)."""
    kept = get_object_or_404(User, pk=pk) if pk else None
    now = timezone.now()
    make = partial(PersonForm, by=request.user)
    form, card, status = make(instance=kept), CertificateForm(), 422 if request.method == "POST" else 200
    if "save" in request.POST:
        saved = post_row(
            request,
            make,
            row=partial(services.locked_person, kept) if kept else None,
            save=lambda form: redirect("person", services.save_person(form, by=request.user, at=now).pk),
        )
        if saved.to:
            return saved.to
        form, status = saved.form, saved.status
    elif kept and "add-card" in request.POST:
        added = post_row(
            request,
            CertificateForm,
            save=lambda card: redirect(
                "person", services.add_certificate(kept, card, by=request.user, at=now).person_id
            ),
        )
        if added.to:
            return added.to
        card = added.form
    context = {
        "form": form,
        "card": card,
        "person": kept,
        "today": timezone.localdate(),
        "link": kept.links.filter(used_at=None, ended_at=None, expires_at__gt=now).first() if kept else None,
        "sessions": sessions_of(kept, now).count() if kept else 0,
        "codes": kept is not None and has_factor(kept),
    }
    return render(request, "installs/people/person.html", context, status=status)


@allow("manage people")
@require_POST
def archive(request: PersonRequest, pk: int) -> HttpResponse:
    kept = get_object_or_404(User, pk=pk)
    try:
        with once(request, redirect("people")) as press:
            press.saw(services.locked_person(kept))
            services.archive_person(kept, timezone.localdate(), by=request.user, at=timezone.now())
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect("person", pk)
    return redirect("people")


@allow("manage people")
@sends("a newer link ends the one before")
@require_POST
@never_cache
def link(request: PersonRequest, pk: int) -> HttpResponse:
    """A new one-time link, shown this once: it goes to the person, and nobody else opens it."""
    kept = get_object_or_404(User, pk=pk)
    try:
        token = make_link(kept, by=request.user, at=timezone.now())
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect("person", pk)
    made = request.build_absolute_uri(f"{reverse('sign-in-link')}#{token}")
    context = {"person": kept, "link": made, "days": LASTS.days}
    return render(request, "installs/people/link_made.html", context)


@allow("manage people")
@sends("sessions that ended have ended")
@require_POST
def sign_out_person(request: PersonRequest, pk: int) -> HttpResponse:
    kept = get_object_or_404(User, pk=pk)
    ended = services.sign_out_everywhere(kept, by=request.user, at=timezone.now())
    messages.success(request, f"{kept.full_name}: {ended} session{'s' if ended != 1 else ''} ended.")
    return redirect("person", pk)


@allow("manage people")
@sends("codes that are off are off")
@require_POST
def codes_off(request: PersonRequest, pk: int) -> HttpResponse:
    """After a lost phone: the person signs in with the password alone, and sets up codes anew."""
    kept = get_object_or_404(User, pk=pk)
    if take_away(kept, by=request.user, at=timezone.now()):
        messages.success(request, f"{kept.full_name}: codes are off, every session ended.")
    return redirect("person", pk)


@allow("manage people")
@require_POST
def archive_card(request: PersonRequest, pk: int) -> HttpResponse:
    card = get_object_or_404(Certificate, pk=pk)
    with once(request, redirect("person", card.person_id)) as press:
        press.saw(Certificate.objects.select_for_update().get(pk=pk))
        services.archive_certificate(card, timezone.localdate(), by=request.user, at=timezone.now())
    return redirect("person", card.person_id)
