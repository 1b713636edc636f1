"""Parts of line: how many falls of rope the hook load needs, with the block that those falls need."""

from __future__ import annotations

from dataclasses import dataclass

from sitecalc.checks import Check, Known, Step, compare
from sitecalc.inputs import InputError, quantity, require_valid

REEVING = (
    "Crane maker's operator manual, p. 2-10: parts of line from the single-line pull, block weight by parts"
)


@dataclass(frozen=True, kw_only=True)
class Block:
    parts: int = quantity("", "parts of line the block is reeved with", low=1, high=20)
    weight_lb: float = quantity("lb", "weight of block or ball with that many parts", low=0, high=50_000)


@dataclass(frozen=True, kw_only=True)
class ReevingCase:
    hung_lb: float = quantity("lb", "item and rigging on the hook", low=0, high=1_000_000)
    single_line_lb: float = quantity("lb", "permissible single-line pull", low=500, high=100_000)
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class Reeving:
    parts: int
    block_lb: float
    hook_lb: float


def parts_of_line(case: ReevingCase) -> Reeving:
    """Fewest parts of line that carry load, rigging and their own block. InputError if none does."""
    require_valid(case)
    for block in sorted(case.blocks, key=lambda b: b.parts):
        hook = case.hung_lb + block.weight_lb
        if hook <= block.parts * case.single_line_lb:
            return Reeving(block.parts, block.weight_lb, hook)
    pull = f"a line pull of {case.single_line_lb:,.0f} lb"
    raise InputError("blocks", f"carry no {case.hung_lb:,.0f} lb with {pull}.")


@dataclass(frozen=True, kw_only=True)
class LinePullCase:
    hook_lb: float = quantity("lb", "on the hook: item, rigging and block", low=0, high=1_000_000)
    single_line_lb: float = quantity("lb", "permissible single-line pull", low=500, high=100_000)
    parts: int = quantity("", "parts of line as reeved", low=1, high=20)


@dataclass(frozen=True)
class LinePull:
    capacity_lb: float
    checks: tuple[Check, ...]


def line_pull(case: LinePullCase) -> LinePull:
    """The hook load against what the rope carries as it is reeved; friction of the sheaves is the maker's."""
    require_valid(case)
    capacity = case.parts * case.single_line_lb
    step = Step(
        "P",
        "what the rope carries",
        "P = n single-line pull",
        f"{case.parts} x {case.single_line_lb:,.0f}",
        capacity,
        "lb",
    )
    check = compare(
        "line-pull",
        "Hoist line",
        demand=case.hook_lb,
        capacity=capacity,
        unit="lb",
        note=f"{case.hook_lb:,.0f} of {capacity:,.0f} lb, parts of line: {case.parts}.",
        source=REEVING,
        known=Known.READ,
        steps=(step,),
    )
    return LinePull(capacity, (check,))
