"""The words that figures and cases of a ground station choose from; those of its tables stand there."""

from __future__ import annotations

from typing import Literal, get_args

Electrode = Literal["rods", "ground ring", "concrete-encased"]
Position = Literal["opposite end from main", "center-fed, one end", "elsewhere", "not known"]
System = Literal["1-phase", "3-phase", "DC"]
GridSystem = Literal["1-phase", "3-phase"]
Connection = Literal["load side", "supply side"]
Location = Literal[
    "not buried",
    "open ground",
    "under 2 in of concrete in the trench",
    "under a building",
    "under 4 in slab without vehicles",
    "street road driveway or parking",
    "driveway of a one- or two-family dwelling",
]
Kind = Literal["wild AC, 3-phase", "DC", "grid AC, 1-phase", "grid AC, 3-phase"]
Brake = Literal["not known", "short-circuit switch", "mechanical brake", "pitch or furling", "two of these"]
# as a page and a paper say it: by itself "two of these" refers to nothing
BRAKE_WORDS: dict[str, str] = {brake: brake for brake in get_args(Brake)} | {
    "two of these": "two independent means"
}
