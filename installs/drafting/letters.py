"""Lettering: sizes on paper, feet-and-inches text, and how wide a text will be.

Sizes are CSS px (96 an inch) and do not change with the drawing's scale.
"""

from __future__ import annotations

import math

NOTE, TEXT, LEAD, HEAD, TITLE = 12.0, 14.0, 15.0, 17.0, 30.0
ROUTED = "Routed Gothic, Overpass, sans-serif"
OVERPASS = "Overpass, sans-serif"

_NARROW = (
    dict.fromkeys("iljI.,:;'|!", 0.27) | dict.fromkeys("ftr()[]-/ ·", 0.36) | dict.fromkeys("mwMW%@—", 0.86)
)


def text_width(text: str, size_px: float) -> float:
    """About how wide ``text`` sets, in px; a little generous, so that the blank under it covers it."""
    return size_px * sum(_NARROW.get(c, 0.66 if c.isupper() else 0.56) for c in text)


def feet_and_inches(feet: float) -> str:
    """16.5 as "16 ft 6 in", to the nearest sixteenth of an inch: "10 in", "9 ft 0 in", "11 1/4 in"."""
    if not math.isfinite(feet):
        raise ValueError("a length must be a finite number of feet")
    whole, rest = divmod(round(abs(feet) * 192), 192)
    inches, part = divmod(rest, 16)
    fraction = ""
    if part:
        shared = math.gcd(part, 16)
        fraction = f"{part // shared}/{16 // shared}"
    inch_text = " ".join(filter(None, [str(inches) if inches or not fraction else "", fraction]))
    sign = "-" if feet < 0 and (whole or rest) else ""
    return f"{sign}{whole} ft {inch_text} in" if whole else f"{sign}{inch_text} in"
