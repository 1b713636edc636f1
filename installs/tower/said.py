"""What the entries of the torque log say beside their words; how they are read stands in torque_log.py."""

from __future__ import annotations

from installs.checklists.said import Choice, Flag, Number, OneOf, Schema, Several, Whole, Words

MOST_BOLTS = 200
MOST_FT_LB = 20_000.0
BOLTS = Several(Words(12), MOST_BOLTS)
SAID = (
    Schema(
        codes=("F07", "F08", "F09"),
        keys={
            "wrench": Words(40),
            "target_ft_lb": Number(0, MOST_FT_LB, "ft-lb"),
            "failed": OneOf((Flag(), BOLTS)),
            "torqued": Whole(0, MOST_BOLTS),
            "new_bolt": Flag(),
        },
    ),
    Schema(
        codes=("F10",),
        keys={
            "wrench": Words(40),
            "bolts": OneOf((BOLTS, Choice(("all",)))),
            "failed": OneOf((Flag(), BOLTS)),
        },
    ),
)
