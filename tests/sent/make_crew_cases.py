"""The forms of planning: crew days, who is away, closed sites, cranes."""

from __future__ import annotations

from datetime import timedelta
from urllib.parse import urlencode

from django.urls import reverse
from django.utils import timezone

from crew.cranes.services import book
from crew.feeds.models import Feed
from crew.feeds.services import end_feed, make_feed
from crew.plan.models import Absence, CraneBooking, Crew, CrewDay
from crew.plan.services import add_day, close_site, strike_day
from crew.solver.gathering import Terms, gather
from crew.solver.hint import by_hand
from crew.solver.models import TentativePlan
from crew.solver.services import ask, promise, put_down, terms_of
from crew.solver.told import days_json, told_of
from installs.equipment.models import Crane
from installs.jobs.models import Job
from installs.people.models import User
from installs.work.models import State, WorkRequest
from installs.work.services import cancel
from tests.sent.make_case import Case, alma, changed, of, stands

# --- crew days --------------------------------------------------------------------------------------


def _day(job: Job, days: int = 40) -> CrewDay:
    on = job.local(timezone.now()).date() + timedelta(days=days)
    return add_day(job, "survey", on, Crew.objects.first(), by=alma(), at=timezone.now())


@of("crew-days")
def _(job: Job) -> Case:
    on = job.local(timezone.now()).date() + timedelta(days=50)
    typed = {
        "job": str(job.pk),
        "phase": "survey",
        "on": on.isoformat(),
        "crew": str(Crew.objects.first().pk),
    }
    return Case(reverse("crew-days"), {**typed, "kind": "work", "people": []})


@of("crew-day: move")
def _(job: Job) -> Case:
    row = _day(job)
    on = (row.on + timedelta(days=1)).isoformat()
    page = reverse("crew-day", args=[row.pk])
    return Case(page, {"on": on, "why": "Rain.", "do": "move"}, meanwhile=changed(row, note="Bring the saw."))


@of("crew-day-strike")
def _(job: Job) -> Case:
    row = _day(job)
    page = reverse("crew-day", args=[row.pk])
    action = f"{page}strike/"
    return Case(page, {"strike-why": "Rain."}, action=action, meanwhile=changed(row, note="Bring the saw."))


@of("crew-day-who")
def _(job: Job) -> Case:
    row = _day(job)
    page = reverse("crew-day", args=[row.pk])
    people = [str(pk) for pk in row.people.values_list("pk", flat=True)]
    typed = {"people": people, "note": "Bring the pump."}
    return Case(page, typed, action=f"{page}who/", meanwhile=changed(row, note="Bring the saw."))


@of("crew-day-worked")
def _(job: Job) -> Case:
    row = _day(job, -3)
    page = reverse("crew-day", args=[row.pk])
    return Case(page, action=f"{page}worked/", meanwhile=changed(row, note="Bring the saw."))


@of("crew-day-blown-off")
def _(job: Job) -> Case:
    on, crew = job.local(timezone.now()).date() + timedelta(days=40), Crew.objects.first()
    by = {"by": alma(), "at": timezone.now()}
    row = add_day(job, "tower lift", on, crew, **by)
    add_day(job, "tower lift", on + timedelta(days=1), crew, kind="weather", **by)
    page = reverse("crew-day", args=[row.pk])
    typed = {"blown-why": "Gusts of 31 mph."}
    return Case(page, typed, action=f"{page}blown-off/", meanwhile=changed(row, note="Bring the saw."))


@of("crew-chain")
def _(job: Job) -> Case:
    job = Job.objects.get(number__endswith="-014")
    crew = str(Crew.objects.first().pk)
    on = job.local(timezone.now()).date() + timedelta(days=60)
    asked = {"job": job.pk, "first": on.isoformat(), "pad": crew, "tower": crew, "electric": crew}
    ben = User.objects.get(username="ben")
    away = {"person": ben, "first_on": on, "last_on": on + timedelta(days=9)}
    return Case(
        f"{reverse('crew-chain')}?{urlencode(asked)}",
        action=reverse("crew-chain"),
        meanwhile=lambda: Absence.objects.create(**away),
    )


@of("absence-back")
def _(job: Job) -> Case:
    row = Absence.objects.get()
    page = reverse("absence-back", args=[row.pk])
    typed = {"back_on": row.last_on.isoformat()}
    return Case(page, typed, meanwhile=changed(row, why="ill"))


@of("crew-instead")
def _(job: Job) -> Case:
    row, _ = _day(job), _day(job, 41)
    person = row.people.first()
    return Case(
        f"{reverse('crew-instead', args=[person.pk])}?all=1",
        action=f"{reverse('crew-instead', args=[person.pk])}?all=1",
        meanwhile=lambda: strike_day(row, "Rain.", by=alma(), at=timezone.now()),
    )


@of("site-closed")
def _(job: Job) -> Case:
    typed = {"job": str(job.pk), "first_on": "2031-05-04", "last_on": "2031-05-06", "why": "calving"}
    return Case(reverse("site-closed"), typed)


@of("site-opened")
def _(job: Job) -> Case:
    first = job.local(timezone.now()).date() + timedelta(days=40)
    row = close_site(job, first, first, "calving", by=alma(), at=timezone.now())
    action = reverse("site-opened", args=[row.pk])
    return Case(reverse("crew-days"), action=action, meanwhile=changed(row, why="ill"))


# --- cranes -----------------------------------------------------------------------------------------


@of("crane-bookings")
def _(job: Job) -> Case:
    typed = {"crane": str(Crane.objects.first().pk), "first_on": "2031-05-04", "last_on": "2031-05-06"}
    return Case(reverse("crane-bookings"), typed)


def _booking() -> CraneBooking:
    on = timezone.now().date() + timedelta(days=40)
    row = CraneBooking(crane=Crane.objects.first(), first_on=on, last_on=on)
    return book(row, confirmed=False, by=alma(), at=timezone.now())


@of("crane-confirm")
def _(job: Job) -> Case:
    row = _booking()
    action = reverse("crane-confirm", args=[row.pk])
    meanwhile = changed(row, last_on=row.last_on + timedelta(days=1))
    return Case(reverse("crane-bookings"), action=action, meanwhile=meanwhile)


@of("crane-cancel")
def _(job: Job) -> Case:
    row = _booking()
    page = reverse("crane-cancel", args=[row.pk])
    meanwhile = changed(row, last_on=row.last_on + timedelta(days=1))
    return Case(page, {"why": "Down with a swing motor."}, meanwhile=meanwhile)


@of("feed-end")
def _(job: Job) -> Case:
    make_feed(Crew.objects.first(), by=alma(), at=timezone.now())
    row = Feed.objects.get()
    ended = lambda: end_feed(row, by=alma(), at=timezone.now())  # noqa: E731
    return Case(reverse("feeds"), {}, action=reverse("feed-end", args=[row.pk]), meanwhile=ended)


@of("plan-issue")
def _(job: Job) -> Case:
    row = _day(job)
    return Case(
        reverse("crew-days"),
        {"what": "Survey put in."},
        action=reverse("plan-issue"),
        meanwhile=lambda: (strike_day(row, "Rain.", by=alma(), at=timezone.now()), _day(job, 41)),
    )


@of("crew-add")
def _(job: Job) -> Case:
    ben = User.objects.get(username="ben")
    return Case(reverse("crew-add"), {"name": "Night crew", "foreman": str(ben.pk), "people": []})


@of("crew")
def _(job: Job) -> Case:
    row = Crew.objects.first()
    people = [str(pk) for pk in row.people.values_list("pk", flat=True)]
    tilda = User.objects.get(username="tilda")
    return Case(
        reverse("crew", args=[row.pk]),
        {"name": "Day crew", "people": people},
        meanwhile=changed(row, foreman=tilda),
        both=stands(row, name="Day crew", foreman=tilda),
    )


@of("absence-add")
def _(job: Job) -> Case:
    typed = {"person": str(alma().pk), "first_on": "2031-05-04", "last_on": "2031-05-06"}
    return Case(reverse("absence-add"), typed)


# --- tentative plans by the machine -------------------------------------------------------------------


@of("tentative-plans")
def _(job: Job) -> Case:
    until = job.local(timezone.now()).date() + timedelta(days=150)
    return Case(reverse("tentative-plans"), {"until": until.isoformat()})


@of("tentative-repair")
def _(job: Job) -> Case:
    action = reverse("tentative-repair")
    return Case(reverse("tentative-plans"), {"repair-why": "Rain."}, action=action)


@of("date-promised")
def _(job: Job) -> Case:
    action = reverse("date-promised")
    typed = {"promise-job": str(job.pk), "promise-on": "2031-05-04"}
    return Case(reverse("tentative-plans"), typed, action=action)


def _tentative(job: Job) -> TentativePlan:
    until = job.local(timezone.now()).date() + timedelta(days=150)
    return ask([job], Terms(until=until), "", by=alma(), at=timezone.now())


@of("chances")
def _(job: Job) -> Case:
    plan = _by_hand(job)
    promise(job, plan.until, by=alma(), at=timezone.now())
    return Case(f"{reverse('chances')}?of={plan.pk}", action=reverse("chances"))


@of("tentative-stop")
def _(job: Job) -> Case:
    page = reverse("tentative-plan", args=[_tentative(job).pk])
    return Case(page, action=f"{page}stop/")


@of("tentative-again")
def _(job: Job) -> Case:
    plan = _tentative(job)
    cancel(plan.work, by=alma(), at=timezone.now())
    page = reverse("tentative-plan", args=[plan.pk])
    return Case(page, action=f"{page}again/")


@of("tentative-put-down")
def _(job: Job) -> Case:
    plan = _by_hand(job)
    row = TentativePlan.objects.filter(pk=plan.pk)
    page = reverse("tentative-plan", args=[plan.pk])
    meanwhile = lambda: put_down(row.get(), by=alma(), at=timezone.now())  # noqa: E731
    return Case(page, {"do": "put"}, action=f"{page}put-down/", meanwhile=meanwhile, over=True)


def _by_hand(job: Job) -> TentativePlan:
    """As a worker leaves it: by hand, so that nothing is solved here."""
    plan = _tentative(job)
    season = gather([job], terms_of(plan), timezone.now())
    hand = by_hand(season)
    row = TentativePlan.objects.filter(pk=plan.pk)
    row.update(days=days_json(season, hand), told=told_of(season, None, hand))
    WorkRequest.objects.filter(pk=plan.work_id).update(state=State.DONE)
    return plan
