"""The bars to order: what stock lengths to buy and how to cut them, kept for the same bars and stock."""

from __future__ import annotations

from installs.foundation.facts import FoundationFacts
from installs.jobs.kept import Kept
from sitecalc.foundation.cutting import STOCK_FT, CuttingCase, CuttingPlan, Stock, cutting_plan

PLANS = Kept(most=40)


def stock_lengths(asked: list[str], longest_ft: float = STOCK_FT[-1]) -> tuple[float, ...]:
    """Those of the usual lengths that were asked for; where none was, all that the supplier sends."""
    sent = tuple(feet for feet in STOCK_FT if feet <= longest_ft) or (longest_ft,)
    return tuple(feet for feet in STOCK_FT if f"{feet:g}" in asked) or sent


def plan_of(facts: FoundationFacts, lengths: tuple[float, ...] = STOCK_FT) -> CuttingPlan | None:
    """None while there is no bar. InputError where a piece is longer than every stock bar."""
    if not facts.pieces:
        return None
    case = CuttingCase(pieces=facts.pieces, stock=tuple(Stock(feet) for feet in lengths))
    found: CuttingPlan = PLANS.get(case, lambda: cutting_plan(case))
    return found
