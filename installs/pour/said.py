"""What the entries of a pour say beside their words; how they are read stands in field_log.py.

A reading that is hardly so (a slump of 45 in) can be read: it is asked again, and fails its limit. Here
stands what cannot be worked with at all.
"""

from __future__ import annotations

from installs.checklists.said import (
    Choice,
    Flag,
    Instant,
    Number,
    Parts,
    Schema,
    Several,
    Whole,
    Within,
    Words,
)
from sitecalc.pour.readings import temperature

DAY_MIN = 1440.0  # a truck that is longer on its way than a day is a slip of the keys
MOST_SENSORS = 60
HOT, COLD = temperature().high, temperature().low


def degrees() -> Number:
    assert COLD is not None and HOT is not None
    return Number(COLD, HOT, "F")


FILE = {
    "file": Words(64),
    "read": Parts({"unit": Choice(("F", "C")), "clock": Choice(("site", "standard")), "sure": Flag()}),
    "sensors": Several(Words(120), MOST_SENSORS),
    "readings": Whole(0, 10_000_000),
    "first": Instant(),
    "last": Instant(),
}
SAID = (
    Schema(
        codes=("D01",),
        number=Within(0, 15),
        keys={
            "ticket": Words(60),
            "yards": Number(0, 15, "yd3"),
            "batched_at": Instant(),
            "arrived_at": Instant(),
            "began_at": Instant(),  # to discharge
            "discharged_at": Instant(),
            "water_allowed_gal": Number(0, 500, "gal"),
            "refused": Flag(),
        },
    ),
    Schema(codes=("D02",), number=Within(0, DAY_MIN), keys={"discharged_at": Instant()}),
    Schema(codes=("D06",), keys={"low_f": degrees()}),
    Schema(
        codes=("D08",),
        number=Within(0, 40),
        keys={"lab": Whole(0, 20), "field": Whole(0, 20), "marks": Words(60)},
    ),
    Schema(codes=("D20",), keys={"for": Instant(site=True)}),
    Schema(
        codes=("D22",),
        keys={
            "concrete_f": degrees(),
            "air_f": degrees(),
            "humidity_pct": Number(0, 100, "%"),
            "wind_mph": Number(0, 200, "mph"),
        },
    ),
    Schema(codes=("E03",), keys={"removed": Flag(), **FILE}),
)
