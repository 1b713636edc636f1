"""Parts of line: how many falls of rope the hook load needs, with the block that those falls need."""

from __future__ import annotations

from dataclasses import dataclass

from sitecalc.cases import ranged_as, same_as
from sitecalc.checks import Check, Known, Rule
from sitecalc.formula import Formula
from sitecalc.inputs import InputError, quantity, require_valid
from sitecalc.lift.figures import LiftFigures

REEVING = (
    "Crane maker's operator manual, p. 2-10: parts of line from the single-line pull, block weight by parts"
)

LINE_PULL = Rule("line-pull", "Hoist line", "lb", REEVING, Known.READ)
CARRIED = Formula("P", "what the rope carries", "n*P1", "lb", {"P1": "single-line pull"})


@dataclass(frozen=True, kw_only=True)
class Block:
    parts: int = ranged_as(LiftFigures, "line_parts", "parts of line the block is reeved with")
    weight_lb: float = ranged_as(LiftFigures, "block_lb", "weight of block or ball with that many parts")


@dataclass(frozen=True, kw_only=True)
class ReevingCase:
    hung_lb: float = quantity("lb", "item and rigging on the hook", low=0, high=1_000_000)
    single_line_lb: float = quantity("lb", "permissible single-line pull", low=500, high=100_000)
    blocks: tuple[Block, ...]


@dataclass(frozen=True, kw_only=True)
class Reeving:
    parts: int
    block_lb: float
    hook_lb: float


def parts_of_line(case: ReevingCase) -> Reeving:
    """Fewest parts of line that carry load, rigging and their own block, lb. InputError if none does.

    hung + block at most n x single-line pull; friction of the sheaves is in the maker's pull. Crane maker's
    operator manual, p. 2-10.
    """
    require_valid(case)
    for block in sorted(case.blocks, key=lambda b: b.parts):
        hook = case.hung_lb + block.weight_lb
        if hook <= CARRIED.value(n=block.parts, P1=case.single_line_lb):
            return Reeving(parts=block.parts, block_lb=block.weight_lb, hook_lb=hook)
    pull = f"a line pull of {case.single_line_lb:,.0f} lb"
    raise InputError("blocks", f"carry no {case.hung_lb:,.0f} lb with {pull}.")


@dataclass(frozen=True, kw_only=True)
class LinePullCase:
    hook_lb: float = quantity(
        "lb", "on the hook: item, rigging and block", low=0, high=1_000_000, shown_at="weight_lb"
    )
    single_line_lb: float = quantity(
        "lb", "permissible single-line pull", low=500, high=100_000, shown_at="chart"
    )
    parts: int = same_as(LiftFigures, "line_parts", required=True)


@dataclass(frozen=True)
class LinePull:
    capacity_lb: float
    checks: tuple[Check, ...]


def line_pull(case: LinePullCase) -> LinePull:
    """The hook load in lb against what the rope carries as it is reeved: n x single-line pull.

    Friction of the sheaves is in the maker's pull. Crane maker's operator manual, p. 2-10.
    """
    require_valid(case)
    carried = CARRIED.step(n=case.parts, P1=case.single_line_lb)
    check = LINE_PULL.compare(
        demand=case.hook_lb,
        capacity=carried.value,
        note=f"{case.hook_lb:,.0f} of {carried.value:,.0f} lb, parts of line: {case.parts}.",
        steps=(carried,),
    )
    return LinePull(carried.value, (check,))
