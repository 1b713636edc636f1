"""The cutting plan in a worker: an integer program, up to ten seconds a bar size."""

from __future__ import annotations

from typing import Any

from installs.foundation.bars import CUT, fault_of
from installs.work.registry import kind
from installs.work.runner import Work
from sitecalc.__main__ import plain
from sitecalc.foundation.cutting import CuttingCase, cutting_plan
from sitecalc.inputs import InputError, build


@kind(CUT, queue="papers", limit_s=300)
def cut(work: Work) -> dict[str, Any]:
    """The plan as JSON values, or under "fault" why these bars cannot be cut from this stock."""
    try:
        found: dict[str, Any] = plain(cutting_plan(build(CuttingCase, work.arguments["case"])))
    except InputError as error:
        return {"fault": fault_of(error)}
    return found
