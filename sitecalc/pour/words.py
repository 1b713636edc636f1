"""The words that the figures and the cases of a pour choose from."""

from __future__ import annotations

from typing import Literal

Accelerator = Literal["none", "no chloride", "chloride"]
Exposure = Literal["F0", "F1", "F2", "F3"]
