"""The firm's own page, and whom to call: the firm's contacts and a job's."""

from __future__ import annotations

from functools import partial

from django.core.exceptions import ValidationError
from django.http import FileResponse, Http404, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from installs.files.services import store_mark
from installs.files.views import answer_with
from installs.firm import services
from installs.firm.facts import contacts_of
from installs.firm.forms import ContactForm, FirmForm
from installs.firm.models import Contact
from installs.jobs.models import Job
from installs.jobs.requests import JobRequest
from installs.people.access import allow
from installs.people.firm_rows import save_row
from installs.people.models import Firm
from installs.people.requests import PersonRequest
from installs.people.services import locked_firm
from installs.sent.once import once
from installs.sent.rows import post_row


@allow("manage people")
@require_http_methods(["GET", "POST"])
def firm(request: PersonRequest) -> HttpResponse:
    """The firm's own figures: what stands on papers, and the limits that no lift goes over."""
    form, status = FirmForm(instance=Firm.objects.first() or Firm(pk=1)), 200
    if request.method == "POST":
        posted = post_row(request, FirmForm, row=locked_firm, save=partial(_kept_firm, request))
        if posted.to:
            return posted.to
        form, status = posted.form, posted.status
    contacts = Contact.objects.filter(job=None, archived_on=None)
    context = {"form": form, "contacts": contacts}
    return render(request, "installs/firm/firm.html", context, status=status)


def _kept_firm(request: PersonRequest, form: FirmForm) -> HttpResponseRedirect:
    now = timezone.now()
    if form.cleaned_data.get("mark_file"):
        try:
            form.instance.mark = store_mark(form.cleaned_data["mark_file"], by=request.user, at=now)
        except ValidationError as error:
            raise ValidationError({"mark_file": error.messages}) from error
    save_row(form, "firm", by=request.user, at=now)
    return redirect("firm")


@allow("see")
@require_http_methods(["GET"])
def firm_mark(request: PersonRequest) -> FileResponse:
    kept = Firm.objects.exclude(mark=None).select_related("mark").first()
    if kept is None or kept.mark is None:
        raise Http404("The firm has no mark.")
    return answer_with(kept.mark, "mark.jpg")


@allow("manage people")
@require_http_methods(["GET", "POST"])
def contact(request: PersonRequest, pk: int | None = None) -> HttpResponse:
    """Add or change a contact of the firm."""
    kept = get_object_or_404(Contact, pk=pk, job=None) if pk else None
    return _contact(request, None, kept, "firm")


@allow("manage people")
@require_POST
def contact_archive(request: PersonRequest, pk: int) -> HttpResponse:
    kept = get_object_or_404(Contact, pk=pk, job=None)
    return _archived(request, kept, redirect("firm"))


@allow("see")
@require_http_methods(["GET"])
def contacts(request: JobRequest, number: str) -> HttpResponse:
    """Everybody to call for the job: its own, and the firm's."""
    context = {"job": request.job, "every": contacts_of(request.job)}
    return render(request, "installs/firm/contacts.html", context)


@allow("edit job")
@require_http_methods(["GET", "POST"])
def job_contact(request: JobRequest, number: str, pk: int | None = None) -> HttpResponse:
    """Add or change a contact of the job."""
    kept = get_object_or_404(Contact, pk=pk, job=request.job) if pk else None
    return _contact(request, request.job, kept, "contacts", number)


@allow("edit job")
@require_POST
def job_contact_archive(request: JobRequest, number: str, pk: int) -> HttpResponse:
    kept = get_object_or_404(Contact, pk=pk, job=request.job)
    return _archived(request, kept, redirect("contacts", number))


def _contact(
    request: PersonRequest, job: Job | None, kept: Contact | None, page: str, *where: str
) -> HttpResponse:
    make = partial(ContactForm, of_job=job is not None)
    form, status = make(instance=kept), 200

    def save(form: ContactForm) -> HttpResponseRedirect:
        services.save_contact(form, job, by=request.user, at=timezone.now())
        return redirect(page, *where)

    if request.method == "POST":
        row = partial(services.locked_contact, kept.pk) if kept else None
        posted = post_row(request, make, row=row, save=save)
        if posted.to:
            return posted.to
        form, status = posted.form, posted.status
    context = {"form": form, "contact": kept, "job": job}
    template = "installs/firm/job_contact.html" if job else "installs/firm/contact.html"
    return render(request, template, context, status=status)


def _archived(request: PersonRequest, kept: Contact, to: HttpResponseRedirect) -> HttpResponse:
    with once(request, to) as press:
        row = services.locked_contact(kept.pk)
        press.saw(row)
        services.archive_contact(row, timezone.localdate(), by=request.user, at=timezone.now())
    return to
