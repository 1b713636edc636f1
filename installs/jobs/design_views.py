"""One way for every part's design page: look, keep the draft, accept a check, release.

Each of the last three comes with what its page was drawn from (installs/jobs/old_page.py); on another draft
it answers 409 with both values side by side, and keeps what was typed.

Changing a number posts the form (htmx) and gets the sheet drawn anew without saving; without
JavaScript the button "Redraw" does the same. "Save draft" saves. What was typed is never lost: a
form with errors comes back as it was, with the drawing of the last good draft.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from installs.jobs.confirming import confirm_release, confirm_shown
from installs.jobs.design_forms import DesignForm
from installs.jobs.drafts import Draft
from installs.jobs.filling import Offer, catalogue_offers, filled_in
from installs.jobs.models import DesignRevision, Job
from installs.jobs.old_page import ANOTHER, NOT_SAID, DraftRead, OldDraft, keep_draft, page_of, taken_over
from installs.jobs.parts import TABLE, Part
from installs.jobs.requests import JobRequest
from installs.jobs.rows import RowsField
from installs.jobs.sealing import digest
from installs.jobs.services import (
    accept_draft_check,
    asked_before_release,
    next_letter,
    release_design,
)
from installs.jobs.standing import footing
from installs.people.access import holders, may
from installs.people.again import asked_again
from installs.sent.seen import Changed, Read
from sitecalc.checks import Check, Verdict, nothing_checked, worst_first
from sitecalc.inputs import InputError

# what keeps a design page's buttons from doing a thing twice (installs.sent.once.sends)
DECISIONS = "a decision is bound to the figures that were read, and made on them once"


@dataclass(frozen=True, kw_only=True)
class DesignPage:
    """The design page of the part with this key; title, sheets and review are those of its row in the table.

    ``draw`` takes the draft and what its review returns (None if it cannot be reviewed) and returns SVG
    strings by name, given to the template as ``drawings``. ``more`` adds further context, ``offers`` gives,
    by what their buttons send, figures that the form can be filled with.
    """

    key: str
    form: type[DesignForm[Any]]
    draw: Callable[[Any, Any], dict[str, str]]
    number: int = 1  # of its sheet: "F-1"
    edit_ability: str = "edit design"
    more: Callable[[Any, Any], dict[str, Any]] = field(default=lambda draft, review: {})
    offers: Callable[[Any, Any], Mapping[str, Offer]] = field(default=lambda draft, review: {})

    @property
    def row(self) -> Part:
        return TABLE[self.key]

    @property
    def title(self) -> str:
        return self.row.title

    @property
    def sheet(self) -> str:
        return f"{self.row.sheet}-{self.number}"

    @property
    def template(self) -> str:
        return f"installs/{self.row.room}/page.html"

    @property
    def drawings_template(self) -> str:
        return f"installs/{self.row.room}/_drawings.html"

    @property
    def below_notes_template(self) -> str:
        return f"installs/{self.row.room}/_below_notes.html"


def design_page(request: JobRequest, part: DesignPage) -> HttpResponse:
    """The whole page of a part; see the module's docstring for what the buttons do."""
    job: Job = request.job
    draft = part.row.draft_of(job)
    action = _asked_for(request)
    released = job.revisions.newest(part.key)
    if action in ("look", "keep"):
        if not may(request.user, part.edit_ability):
            raise PermissionDenied
        return _posted_form(request, part, draft, released, keep=action == "keep")
    if action in ("release", "accept", "confirm"):
        if not may(request.user, "release design" if action == "release" else "accept check"):
            raise PermissionDenied
        if page := asked_again(request):
            return page
        return _answered(request, part, draft, released, action)
    return _shown(request, part, draft, _form(part, draft, released), released)


def page_again(request: JobRequest, part: DesignPage, **beside: Any) -> HttpResponse:
    """The page as it stands, 422, in answer to a form that stands beside the schedule and posts elsewhere.

    ``beside`` is what that form's template says of it.
    """
    request.path = reverse(part.row.page, args=[request.job.number])  # where the other forms of the page post
    draft, released = part.row.draft_of(request.job), request.job.revisions.newest(part.key)
    form = _form(part, draft, released)
    return _shown(request, part, draft, form, released, status=422, beside=beside)


def _asked_for(request: JobRequest) -> str:
    """What is to be done. A page's script redraws and nothing else, whichever button was pressed before."""
    if request.method != "POST":
        return "show"
    return "look" if request.htmx else request.POST.get("do", "look")


def _form(
    part: DesignPage, draft: Draft, released: DesignRevision | None, data: Any = None, files: Any = None
) -> DesignForm[Any]:
    form = part.form(data, files, instance=draft)
    form.released_inputs = released.inputs if released else {}
    return form


def _posted_form(
    request: JobRequest, part: DesignPage, draft: Draft, released: DesignRevision | None, *, keep: bool
) -> HttpResponse:
    form = _form(part, draft, released, request.POST, request.FILES)
    if "more" in request.POST and not request.htmx:
        return _with_another_line(request, part, form, released)
    offered = "take" in request.POST and not request.htmx
    if offered:
        form = _with_offer(request, part, form, released)
    review = None
    if form.is_valid():
        try:
            review = part.row.review(form.instance)
        except InputError as error:
            form.add_input_error(error)
    read = DraftRead.of(request.POST)
    if form.errors:
        return _shown(request, part, _saved(draft), form, released, read=read, status=422)
    if keep and not offered:
        try:
            keep_draft(form.instance, part.row, read=read, by=request.user, at=timezone.now())
        except OldDraft:
            return _on_old_page(request, part, released, read, "Not saved")
        messages.success(request, "Draft saved.")
        return redirect(request.path)
    return _shown(request, part, form.instance, form, released, review=review, unsaved=True, read=read)


def _with_another_line(
    request: JobRequest, part: DesignPage, form: DesignForm[Any], released: DesignRevision | None
) -> HttpResponse:
    """The page as it was typed, with an empty line more in one table: what is half typed is no fault yet."""
    form.is_valid()
    form.errors.clear()
    for name, field_of_rows in form.fields.items():
        if isinstance(field_of_rows, RowsField):
            field_of_rows.widget.blank_rows = int(name == request.POST["more"])
    kept = _saved(form.instance)
    shown = kept if kept is not None else part.row.draft_of(request.job)
    return _shown(request, part, shown, form, released, unsaved=True, read=DraftRead.of(request.POST))


def _with_offer(
    request: JobRequest, part: DesignPage, form: DesignForm[Any], released: DesignRevision | None
) -> DesignForm[Any]:
    """The form with the figures of the button that was pressed: an option that passes, or a catalogue row.

    An option is worked out from what was typed; without a good figure for each there is none to take.
    """
    wanted = request.POST.get("row", "") if request.POST["take"] == "row" else request.POST["take"]
    found: Mapping[str, Offer] = catalogue_offers(part.key)
    if wanted not in found and form.is_valid():
        try:
            found = part.offers(form.instance, part.row.review(form.instance))
        except InputError as error:
            form.add_input_error(error)
    offer = found.get(wanted)
    if offer is None:
        if not form.errors:
            form.add_error(None, "There is nothing of that name to take. Choose again.")
        return form
    filled = filled_in(request.POST, form, offer)
    return _form(part, part.row.draft_of(request.job), released, filled, request.FILES)


def _saved(draft: Draft) -> Draft | None:
    """The draft as it is kept, not as a form changed it in place."""
    return type(draft)._default_manager.filter(pk=draft.pk).first() if draft.pk else None


def _on_old_page(
    request: JobRequest, part: DesignPage, released: DesignRevision | None, read: DraftRead, what: str
) -> HttpResponse:
    """Both values side by side, and the form as typed; untouched fields say what the draft says now."""
    now, form = part.row.draft_of(request.job), None
    if what == "Not saved":
        instance = part.row.draft_of(request.job)
        data = taken_over(request.POST, _form(part, instance, released), read, now)
        form = _form(part, instance, released, data, request.FILES)
        form.is_valid()
    faults = [f"{what}: {ANOTHER}" if read.inputs else NOT_SAID]
    shown = form or _form(part, part.row.draft_of(request.job), released)
    changed = read.changed(now, form)
    return _shown(request, part, now, shown, released, faults=faults, changed=changed, status=409)


def _answered(
    request: JobRequest, part: DesignPage, draft: Draft, released: DesignRevision | None, action: str
) -> HttpResponse:
    """Release the saved draft, accept one of its checks, or confirm the release in force; or say why not."""
    now, read = timezone.now(), DraftRead.of(request.POST)
    if action != "confirm" and not read.is_of(draft):
        what = "Not released" if action == "release" else "Not accepted"
        return _on_old_page(request, part, released, read, what)
    try:
        if action == "confirm":
            if released is None:
                raise ValidationError("Nothing of this part is released.")
            reason, shown = request.POST.get("reason", ""), Read.of(request.POST)
            confirm_release(released, reason, by=request.user, at=now, read=shown)
            messages.success(request, f"{part.title} {released.letter}: confirmed.")
            return redirect(request.path)
        review = part.row.review(draft)
        if action == "release":
            revision = release_design(
                draft.job, part.key, draft.inputs(), review.results, review.checks, by=request.user, at=now
            )
            messages.success(request, f"{part.title} released as {revision.letter}.")
        else:
            check = next((c for c in review.checks if c.key == request.POST.get("check")), None)
            if check is None:
                raise ValidationError("That check is not in this draft.")
            accept_draft_check(
                draft.job,
                part.key,
                draft.inputs(),
                check,
                request.POST.get("reason", ""),
                by=request.user,
                at=now,
            )
            messages.success(request, f"{check.title}: accepted.")
    except (ValidationError, InputError) as error:
        faults = error.messages if isinstance(error, ValidationError) else [f"{error.field}: {error.message}"]
        return _shown(request, part, draft, _form(part, draft, released), released, faults=faults, status=422)
    return redirect(request.path)


def _shown(
    request: JobRequest,
    part: DesignPage,
    draft: Draft | None,
    form: DesignForm[Any],
    released: DesignRevision | None,
    *,
    review: Any = None,
    unsaved: bool = False,
    faults: list[str] | None = None,
    read: DraftRead | None = None,
    changed: list[Changed] | None = None,
    status: int = 200,
    beside: dict[str, Any] | None = None,
) -> HttpResponse:
    """``read`` is what a page that is shown again was drawn from: typed figures stay bound to that."""
    incomplete, judged = None, review
    if review is None and draft is not None:
        try:
            judged = part.row.review(draft)
        except InputError as error:
            incomplete = error
    checks = worst_first(judged.checks) if judged else []
    page = page_of(draft if draft is not None else part.row.draft_of(form.instance.job))
    drawn_from = page["drawn_from"] if draft is not None else ""
    accepted = {
        a.check_key: a
        for a in form.instance.job.draft_acceptances.filter(
            part=part.key, inputs_sha256=drawn_from
        ).select_related("engineer")
    }
    revisions = list(
        form.instance.job.revisions.filter(part=part.key)
        .select_related("released_by")
        .prefetch_related("acceptances__engineer")
        .order_by("-released_at", "-pk")
    )
    standing = footing(form.instance.job)
    asked = asked_before_release(form.instance.job, part.key, draft.inputs()) if draft is not None else []
    context = {
        "part": part,
        "job": form.instance.job,
        "draft": draft,
        "form": form,
        "review": judged,
        "incomplete": _in_words(incomplete, form) if incomplete else "",
        **_notes(checks, accepted),
        "counts": counted(checks),
        "may_release": not nothing_checked(c.verdict for c in checks)
        and not asked
        and not any(c.needs_answer and c.key not in accepted for c in checks),
        "drawings": part.draw(draft, judged) if draft is not None else {},
        "released": released,
        "confirms": confirm_shown(released, standing) if released else None,
        "void": standing.void(released) if released else "",
        "stands_on": standing.in_words(released) if released else "",
        "confirmed": standing.confirmation(released) if released else None,
        "as_released": released is not None and drawn_from == digest(released.inputs),
        "next_letter": next_letter(r.letter for r in revisions),
        "revisions": revisions,
        "editable": may(request.user, part.edit_ability, request.job),
        "released_by": holders("release design"),
        "rows_offered": catalogue_offers(part.key),
        "offers": part.offers(draft, judged) if draft is not None and judged is not None else {},
        "not_confirmed": asked,
        "unsaved": unsaved,
        "faults": faults or [],
        "changed": changed or [],
        "page": page,
        "schedule_page": {"drawn_from": read.sha256, "seen": request.POST.get("seen", "")} if read else page,
        "typed": {name: request.POST.get(name, "") for name in ("do", "check", "reason")},
    }
    further = part.more(draft, judged) if draft is not None else {}
    if taken := context.keys() & further.keys():  # each would say the other's
        raise ValueError(f"{part.key}: {', '.join(sorted(taken))} of the page already say something else")
    context |= further | (beside or {})
    template = "installs/design/answer.html" if request.htmx else part.template
    response = render(request, template, context, status=status)
    response["Vary"] = "HX-Request"
    return response


MANY_CHECKS, EASY = 16, 0.5


def _notes(checks: list[Check], accepted: dict[str, Any]) -> dict[str, list[dict[str, Any]]]:
    """Margin notes, worst first; where they are many, those far from their limit stand folded under them.

    Under those, folded too and by themselves, what does not apply.
    """
    few = len(checks) <= MANY_CHECKS
    near = [c for c in checks if c.needs_answer or few or (c.ratio or 0.0) >= EASY]
    rest = [c for c in checks if c not in near]
    return {
        name: [{"check": c, "accepted": accepted.get(c.key)} for c in found]
        for name, found in (
            ("notes", near),
            ("easy_notes", [c for c in rest if c.passes]),
            ("aside_notes", [c for c in rest if not c.passes]),
        )
    }


def _in_words(error: InputError, form: DesignForm[Any]) -> str:
    """An engineering InputError with the field's label as the schedule has it."""
    name = error.field.split("[")[0].split(".")[0]
    label = str(form.fields[name].label) if name in form.fields else error.field.replace("_", " ")
    return f"{label}: {error.message}"


def counted(checks: list[Check]) -> str:
    """ "1 check fails, 1 is not checked, 9 pass, 2 do not apply" """
    fails, open_, passes, aside = (
        sum(c.verdict is verdict for c in checks)
        for verdict in (Verdict.FAILS, Verdict.NOT_CHECKED, Verdict.PASSES, Verdict.DOES_NOT_APPLY)
    )
    parts = []
    if fails:
        parts.append(f"{fails} check{'s fail' if fails > 1 else ' fails'}")
    if open_:
        parts.append(f"{open_} {'are' if open_ > 1 else 'is'} not checked")
    parts.append(f"{passes} pass" if passes != 1 else "1 passes")
    if aside:
        parts.append(f"{aside} do not apply" if aside != 1 else "1 does not apply")
    return ", ".join(parts)
