"""The words that the figures and the cases of a tower choose from."""

from __future__ import annotations

from typing import Literal

Kind = Literal["lattice, 3 legs", "lattice, 4 legs", "tube"]
Exposure = Literal["B", "C", "D"]
RiskCategory = Literal["I", "II", "III", "IV"]
ReactionKind = Literal["ASCE strength level", "IEC extreme gust", "maker's service"]
Tightening = Literal["torque", "turn of nut", "calibrated wrench"]
FirstPass = Literal["snug", "30 %"]
