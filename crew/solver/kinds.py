"""Making a tentative plan in a worker, and the seasons that keep its promised dates."""

from __future__ import annotations

from time import monotonic
from typing import Any

from django.utils import timezone

from crew.solver.chance import chance, laid
from crew.solver.chances import KIND as CHANCE
from crew.solver.chances import assumed_of, days_of
from crew.solver.gathering import Terms, changed_since, gather, stands_on
from crew.solver.hint import CannotLay, by_hand
from crew.solver.making import Planned, planned, repaired
from crew.solver.models import SeasonChance, TentativePlan
from crew.solver.season import Placed, Season
from crew.solver.services import KIND, terms_of
from crew.solver.solving import Effort, Sofar
from crew.solver.told import code_of, days_json, told_of
from crew.solver.why_not import conflicts, why_json
from installs.work.models import WorkRequest
from installs.work.registry import kind
from installs.work.runner import Work, WorkFailed

SECONDS = 20.0
REPAIR_SECONDS = 5.0
WHY_SECONDS = 20.0


def keep(request: WorkRequest, outcome: dict[str, Any]) -> dict[str, Any]:
    plan = TentativePlan.objects.filter(pk=request.arguments["plan"], put_down_at=None)
    plan.update(days=outcome["days"], told=outcome["told"])
    return {"code": outcome["told"]["code"]}


@kind(KIND, queue="plans", keep=keep, limit_s=300)
def make(work: Work) -> dict[str, Any]:
    """The plan by hand stands as soon as it is laid; then the time that is left makes it better."""
    plan = TentativePlan.objects.get(pk=work.arguments["plan"])
    work.progress("Reading jobs, crews and cranes", 0.0)
    terms = terms_of(plan)
    season = gather(list(plan.jobs.all()), terms, timezone.now())
    if changed := changed_since(plan.stands_on, stands_on(season)):
        raise WorkFailed(f"Changed since it was asked for: {', '.join(changed)}. Ask for it anew.")
    work.progress("Laying the jobs by the rules of the hand", 0.02)
    try:
        hand = by_hand(season)
    except CannotLay as error:
        if not (why := _why_not(work, season, None)):
            raise WorkFailed(f"There is no place for {error}") from error
        return {"days": [], "told": {"why_not": why, "code": code_of([])}}
    first = TentativePlan.objects.filter(pk=plan.pk)
    first.update(days=days_json(season, hand), told=told_of(season, None, hand))
    found = _improved(work, season, terms)
    told = told_of(season, found, hand)
    if found.score.late:
        told["why_not"] = _why_not(work, season, found.days)
    return {"days": days_json(season, found.days), "told": told}


def _why_not(work: Work, season: Season, days: tuple[Placed, ...] | None) -> list[dict[str, Any]]:
    """Which demands conflict: where there is no plan, else of the promised dates that it does not hold."""

    def told(sofar: Sofar) -> None:
        work.progress("Looking for the demands that conflict", 0.99)

    return why_json(conflicts(season, days, Effort(seconds=WHY_SECONDS), told))


def _improved(work: Work, season: Season, terms: Terms) -> Planned:
    seconds = REPAIR_SECONDS if terms.repair else SECONDS
    begun = monotonic()

    def told(sofar: Sofar) -> None:
        share = min((monotonic() - begun) / (seconds + 2), 0.99)
        if sofar.best is None:
            work.progress("By hand a plan stands; looking for a better one", share)
        elif sofar.bound is None:
            work.progress(f"Best so far {sofar.best:,.0f} points", share)
        else:
            work.progress(
                f"Best so far {sofar.best:,.0f} points; none can be below {sofar.bound:,.0f}", share
            )

    effort = Effort(seconds=seconds)
    return repaired(season, effort, told) if terms.repair else planned(season, effort, told)


def keep_chance(request: WorkRequest, outcome: dict[str, Any]) -> dict[str, Any]:
    SeasonChance.objects.filter(pk=request.arguments["chance"]).update(told=outcome)
    return {"seasons": outcome["seasons"]}


@kind(CHANCE, queue="plans", keep=keep_chance, limit_s=300)
def seasons(work: Work) -> dict[str, Any]:
    """Of what it was asked of and of nothing else: the hash of its inputs is held to what is gathered."""
    row = SeasonChance.objects.select_related("of").get(pk=work.arguments["chance"])
    work.progress("Reading the days", 0.0)
    asked, assumed = days_of(row.of, timezone.now()), assumed_of(row)
    if asked.digest(assumed) != row.asked:
        raise WorkFailed("Days, promised dates or what is known of the jobs have changed since: ask anew.")
    network = laid(asked.season, asked.days, asked.who, assumed)
    return chance(network, assumed, lambda share: work.progress("Working through the seasons", share))
