"""Hands on the models of crew."""

from crew.feeds.models import Feed
from crew.plan.models import Absence, ClosedDays, CraneBooking, Crew, CrewDay, Plan
from crew.solver.models import PromisedDate, SeasonChance, TentativePlan

__all__ = [
    "Absence",
    "ClosedDays",
    "CraneBooking",
    "Crew",
    "CrewDay",
    "Feed",
    "Plan",
    "PromisedDate",
    "SeasonChance",
    "TentativePlan",
]
