"""Hands on the models of crew."""

from crew.plan.models import Absence, Crew, CrewDay, Plan

__all__ = ["Absence", "Crew", "CrewDay", "Plan"]
