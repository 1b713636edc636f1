"""The bars to order: what stock lengths to buy and how to cut them.

The plan takes seconds for many bars of one size, so a worker does it: once for the same bars and stock, for
it is kept under the hash of both.
"""

from __future__ import annotations

from dataclasses import dataclass

from installs.foundation.facts import FoundationFacts
from installs.jobs.kept import Kept
from installs.jobs.sealing import digest
from installs.work.models import State, WorkRequest
from sitecalc.__main__ import plain
from sitecalc.foundation.cutting import STOCK_FT, CuttingCase, CuttingPlan, Stock, cutting_plan
from sitecalc.inputs import InputError, build

CUT = "foundation.cutting"
PLANS = Kept(most=40)


@dataclass(frozen=True)
class Cutting:
    """A cutting plan as far as it is: ``plan``, or why there is none; neither while a worker is at it."""

    key: str
    plan: CuttingPlan | None = None
    fault: str = ""
    failed: bool = False  # the work, not the bars: it can be tried again

    @property
    def waits(self) -> bool:
        return self.plan is None and not self.fault


def stock_lengths(asked: list[str], longest_ft: float = STOCK_FT[-1]) -> tuple[float, ...]:
    """Those of the usual lengths that were asked for; where none was, all that the supplier sends."""
    sent = tuple(feet for feet in STOCK_FT if feet <= longest_ft) or (longest_ft,)
    return tuple(feet for feet in STOCK_FT if f"{feet:g}" in asked) or sent


def case_of(facts: FoundationFacts, lengths: tuple[float, ...] = STOCK_FT) -> CuttingCase | None:
    """None while there is no bar."""
    return (
        CuttingCase(pieces=facts.pieces, stock=tuple(Stock(feet) for feet in lengths))
        if facts.pieces
        else None
    )


def cutting_kept(key: str) -> Cutting | None:
    """What a worker has made of it by now; None where nobody has asked."""
    request = WorkRequest.objects.filter(kind=CUT, key=key).first()
    if request is None:
        return None
    if request.state == State.DONE and request.result is not None:
        fault = request.result.get("fault", "")
        return Cutting(key, None if fault else build(CuttingPlan, request.result), fault)
    if request.is_over:
        return Cutting(key, fault=request.error or "its cutting plan was not worked out.", failed=True)
    return Cutting(key)


def plan_of(facts: FoundationFacts, lengths: tuple[float, ...] = STOCK_FT) -> CuttingPlan | None:
    """For papers: the plan that is kept, else worked out at once. None while there is no bar.

    InputError where a piece is longer than every stock bar.
    """
    case = case_of(facts, lengths)
    if case is None:
        return None
    kept = cutting_kept(digest(plain(case)))
    if kept is not None and kept.plan is not None:
        return kept.plan
    found: CuttingPlan = PLANS.get(case, lambda: cutting_plan(case))
    return found


def fault_of(error: InputError) -> str:
    """Why bars cannot be cut, as a sentence."""
    return f"The bars {error.message}" if error.field == "pieces" else error.message
