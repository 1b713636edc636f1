"""The words that the figures and the cases of a site choose from."""

from __future__ import annotations

from typing import Literal

Use = Literal["runway", "heliport"]
Kind = Literal["dwelling", "building", "road", "overhead line", "trees", "other"]
ClearanceDatum = Literal["blade bottom", "hub"]
Datum = Literal["blade tip", "hub"]
Law = Literal["power law", "log law", "two heights"]
SoundAt = Literal["property line", "nearest neighboring dwelling"]
