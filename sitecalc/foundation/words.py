"""The words of the foundation that figures, cases and tables choose from. It imports nothing of this part."""

from __future__ import annotations

from typing import Literal

Outline = Literal["rectangle", "octagon", "circle"]
PedestalForm = Literal["square", "round"]
Soil = Literal[
    "crystalline bedrock", "sedimentary or foliated rock", "GW", "GP", "SW", "SP", "SM", "SC", "GM", "GC",
    "CL", "ML", "MH", "CH", "fill or organic",
]  # fmt: skip
BarSize = Literal["#3", "#4", "#5", "#6", "#7", "#8", "#9", "#10", "#11"]
TieSize = Literal["#3", "#4", "#5"]
Ends = Literal["straight", "90 degree", "180 degree"]
BoltSize = Literal["1/2", "5/8", "3/4", "7/8", "1", "1-1/8", "1-1/4", "1-3/8", "1-1/2", "1-3/4", "2"]
Grade = Literal["36", "55", "105"]
Foot = Literal["nut", "plate under each", "one plate or ring", "hook"]
Seat = Literal["on concrete", "on grout", "on leveling nuts"]
LoadKind = Literal["ASCE strength level", "IEC extreme gust", "maker's service", "maker's strength level"]
SeismicCategory = Literal["A", "B", "C", "D", "E", "F"]
ConcreteCode = Literal["ACI 318-19"]
Compass = Literal[
    "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW",
]  # fmt: skip
COMPASS: tuple[Compass, ...] = (
    "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW",
)  # fmt: skip
