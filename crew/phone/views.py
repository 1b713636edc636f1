"""The phone: day sheet, checklists, one entry at a time. Plain forms; JavaScript only helps."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from crew.phone.ahead import pages_ahead
from crew.phone.day import day_works
from crew.phone.offline import held_on_phone
from crew.phone.steps import form_of, item_step
from installs.checklists.forms import EntryForm
from installs.checklists.models import Item, JobList
from installs.checklists.state import ItemState, ListState, list_states
from installs.checklists.taking import take_entry
from installs.files.services import store_photo
from installs.files.taken import taken
from installs.gates.services import finish_phase, phase_now, start_phase
from installs.jobs.getters import locked
from installs.jobs.models import Job
from installs.jobs.phases import STARTABLE, title_of
from installs.jobs.requests import JobRequest
from installs.measures import uuid_or_none
from installs.people.access import allow
from installs.people.models import Role
from installs.people.requests import PersonRequest
from installs.sent.once import ENTRIES, once, sends
from installs.tower.torque_log import CHECK_CODE, PASS_CODES


@allow("see")
@require_http_methods(["GET"])
def home(request: PersonRequest) -> HttpResponse:
    """Who works outdoors begins with the day sheet, everybody else with the look-ahead."""
    outdoors = request.user.role in (Role.FOREMAN, Role.CREW, Role.ELECTRICIAN)
    return redirect("day-sheet" if outdoors else "look-ahead")


@allow("record entries")
@require_http_methods(["GET"])
@held_on_phone
def day_sheet(request: PersonRequest) -> HttpResponse:
    """Today for this person, at the clock of the first site (all sites of a firm share a day)."""
    now = timezone.now()
    job = Job.objects.active().visible_to(request.user).first()
    here = job.local(now) if job else now
    works = day_works(request.user, here.date(), now)
    ahead = pages_ahead(request.user, works, here.date())
    return render(request, "crew/phone/day.html", {"works": works, "now": here, "ahead": ahead})


@allow("record entries")
@sends(ENTRIES)
@require_http_methods(["GET", "POST"])
@held_on_phone
def checklist(request: JobRequest, number: str, key: str) -> HttpResponse:
    """One list: the next item large, then all items. POST records one entry.

    ``?item=B07`` chooses an item, ``?correct=<uuid>`` corrects an entry of it.
    """
    job: Job = request.job
    kept = get_object_or_404(job.lists, key=key)
    if request.method == "POST":
        item = get_object_or_404(Item, list=kept, code=request.POST.get("code", ""))
        form = form_of(_state_of(job, kept, item), request.POST, request.FILES)
        if form.is_valid() and _recorded(request, job, item, form):
            return redirect("phone-list", number, key)
        return _list_page(request, job, kept, item, form, status=422)
    state = list_states(job, [kept])[0]
    chosen = _chosen(state, request.GET.get("item"))
    if chosen is None:
        return _list_page(request, job, kept, None, None, state=state)
    empty = form_of(chosen)
    asked = uuid_or_none(request.GET.get("correct"))
    correcting = job.entries.filter(item=chosen.item, uuid=asked).first() if asked else None
    if correcting:
        empty.initial.update(corrects=correcting.uuid, subject=correcting.subject)
    return _list_page(request, job, kept, chosen.item, empty, correcting=correcting, state=state)


def _state_of(job: Job, kept: JobList, item: Item) -> ItemState:
    return next(s for s in list_states(job, [kept])[0].items if s.item == item)


def _chosen(state: ListState, code: str | None) -> ItemState | None:
    return next((s for s in state.items if s.item.code == code), None) or state.next


def _list_page(
    request: PersonRequest,
    job: Job,
    kept: JobList,
    item: Item | None,
    form: EntryForm | None,
    *,
    correcting: Any = None,
    state: ListState | None = None,
    status: int = 200,
) -> HttpResponse:
    shown = state or list_states(job, [kept])[0]
    context = {
        "job": job,
        "current": next((item_step(job, s) for s in shown.items if s.item == item), None),
        "steps": [item_step(job, s) for s in shown.items],
        "state": shown,
        "item": item,
        "form": form,
        "correcting": correcting,
        "torque_codes": (*PASS_CODES, CHECK_CODE),
        "now": job.local(timezone.now()),
    }
    return render(request, "crew/phone/list.html", context, status=status)


def _recorded(request: PersonRequest, job: Job, item: Item, form: EntryForm) -> bool:
    """Take the entry of a valid form; a photo that cannot be read is said at its field."""
    fields = form.cleaned_data
    now = timezone.now()
    try:
        shot = taken(fields["photo"]) if fields["photo"] else {}
        photo = store_photo(fields["photo"], by=request.user, at=now) if fields["photo"] else None
        kept = take_entry(
            job,
            by=request.user,
            received_at=now,
            taken_at=now,
            uuid=fields["uuid"],
            code=item.code,
            subject=fields["subject"],
            number=fields["number"],
            text=fields["cannot"] or fields["text"],
            data=_data(fields, form) | shot,
            photo=photo,
            corrects=fields["corrects"],
        )
    except ValidationError as error:
        if hasattr(error, "error_dict"):
            form.add_error(None, error)  # each at its field
        else:
            form.add_error("photo" if fields["photo"] else None, error.messages)
        return False
    for deviation in kept.entry.deviations.all():
        messages.warning(request, f"Recorded. Deviation {deviation.number} stands: {deviation.title}.")
    return True


def _data(fields: dict[str, Any], form: EntryForm) -> dict[str, Any]:
    data: dict[str, Any] = dict(form.kept)
    if fields["cannot"]:
        data["cannot"] = True
    if fields["signed"]:
        data["signed"] = fields["signed"]
    if form.out_of_tolerance:
        data["out_of_tolerance"] = True
    if form.limit.letter and form.limit.given and (fields["number"] is not None or form.limit.named):
        data["plan"] = form.limit.letter
    return data


@allow("start phase")
@require_POST
def phase(request: JobRequest, number: str, key: str) -> HttpResponse:
    """Start or finish a phase; a closed gate answers with its sentence and date."""
    if key not in STARTABLE:
        messages.error(request, "There is no such phase.")
        return redirect("day-sheet")
    change = finish_phase if request.POST.get("do") == "finish" else start_phase
    does = "Finish" if change is finish_phase else "Start"
    onward = redirect("job-book", number) if request.POST.get("back") == "book" else redirect("day-sheet")
    try:
        with once(request, onward) as press:
            job, now = locked(request.job), timezone.now()
            press.saw(phase_now(job, key, now), does=f"{does} {title_of(key).lower()}")
            change(job, key, by=request.user, at=now)
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    return onward
