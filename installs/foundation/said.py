"""What the survey of the set bolts says beside its words (survey.py)."""

from __future__ import annotations

from installs.checklists.said import Number, Parts, Schema, Several, Words

MOST_LINES = 260
FARTHEST_IN = 1e6
LENGTH = Number(-FARTHEST_IN, FARTHEST_IN, "in")
SAID = (
    Schema(
        codes=("E11",),
        keys={
            "measured": Several(
                Parts({"mark": Words(12), "x_in": LENGTH, "y_in": LENGTH, "projection_in": LENGTH}),
                MOST_LINES,
            ),
            "tolerance_in": Number(0, 100, "in"),
            "release": Words(12),
        },
    ),
)
