"""Parts of line, by a crane maker's own worked example."""

import pytest

from sitecalc.checks import Verdict
from sitecalc.inputs import InputError
from sitecalc.lift.reeving import Block, LinePullCase, ReevingCase, line_pull, parts_of_line


def test_parts_of_line_and_the_block_they_need() -> None:
    """Crane maker's operator manual, p. 2-10: 9,000 lb and 50 lb of slings; the 1-part block of 150 lb
    makes 9,200 lb, over the line's 7,700 lb; two parts, whose block weighs 305 lb: 9,355 lb are lifted.
    """
    blocks = (Block(parts=1, weight_lb=150), Block(parts=2, weight_lb=305))
    reeving = parts_of_line(ReevingCase(hung_lb=9_050, single_line_lb=7_700, blocks=blocks))
    assert (reeving.parts, reeving.hook_lb) == (2, 9_355)


def test_no_block_carries_it() -> None:
    with pytest.raises(InputError, match="blocks"):
        parts_of_line(
            ReevingCase(hung_lb=9_050, single_line_lb=7_700, blocks=(Block(parts=1, weight_lb=150),))
        )


@pytest.mark.parametrize(
    ("hook", "parts", "verdict"), [(9_200, 1, Verdict.FAILS), (9_355, 2, Verdict.PASSES)]
)
def test_line_as_it_is_reeved(hook: float, parts: int, verdict: Verdict) -> None:
    """The same example: one part of 7,700 lb carries no 9,200 lb; two carry 9,355 lb."""
    pull = line_pull(LinePullCase(hook_lb=hook, single_line_lb=7_700, parts=parts))
    assert pull.checks[0].verdict is verdict
