"""Lettering: sizes on paper, feet-and-inches text, and how wide a text will be.

Sizes are CSS px (96 an inch) and do not change with the drawing's scale.
"""

from __future__ import annotations

import math

NOTE, TEXT, LEAD, HEAD, TITLE = 12.0, 14.0, 15.0, 17.0, 30.0
# Routed Gothic without its figures, by the name the style sheets give it: its 1 is a bare stroke
ROUTED = "Lettering, Overpass, sans-serif"
OVERPASS = "Overpass, sans-serif"

# advance widths of " " to "~" in hundredths of the type size, read from the two fonts' own tables
_OVERPASS_WIDTHS = bytes([
    24, 27, 40, 68, 59, 87, 68, 21, 34, 34, 53, 64, 22, 40, 22, 49, 64, 61, 61, 61, 62, 62, 61, 61, 61,
    61, 22, 22, 64, 64, 64, 51, 81, 68, 66, 65, 68, 60, 56, 69, 70, 28, 55, 66, 56, 80, 71, 73, 63, 73,
    66, 60, 58, 69, 65, 84, 60, 64, 65, 38, 49, 38, 64, 49, 37, 53, 56, 50, 56, 54, 33, 56, 56, 25, 25,
    53, 26, 85, 56, 56, 56, 56, 39, 47, 38, 56, 51, 72, 52, 53, 50, 37, 27, 37, 64,
])  # fmt: skip
_ROUTED_WIDTHS = bytes([
    28, 28, 38, 66, 49, 84, 77, 22, 34, 34, 50, 62, 29, 41, 28, 56, 66, 66, 66, 66, 66, 66, 66, 66, 66,
    66, 28, 29, 62, 62, 62, 62, 86, 67, 68, 67, 68, 68, 65, 66, 70, 33, 53, 66, 64, 81, 70, 72, 66, 72,
    69, 66, 67, 70, 67, 85, 62, 64, 62, 30, 56, 30, 50, 56, 38, 57, 57, 52, 58, 53, 37, 57, 57, 28, 28,
    52, 28, 84, 57, 55, 57, 57, 41, 48, 34, 57, 48, 68, 48, 48, 49, 42, 28, 42, 63,
])  # fmt: skip


def text_width(text: str, size_px: float, family: str = OVERPASS) -> float:
    """How wide ``text`` sets, in px: figures as tabular ones, a letter outside ASCII as a wide one."""
    table = _ROUTED_WIDTHS if family == ROUTED else _OVERPASS_WIDTHS
    return size_px / 100 * sum(table[ord(c) - 32] if " " <= c <= "~" else 66 for c in text)


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


def inches_alone(inches: float, parts: int = 32) -> str:
    """12.25 as "12 1/4 in", to the nearest part of an inch: spacings and plates are said in inches alone."""
    whole, part = divmod(round(inches * parts), parts)
    shared = math.gcd(part, parts)
    fraction = f"{part // shared}/{parts // shared}" if part else ""
    return f"{' '.join(word for word in (str(whole) if whole or not fraction else '', fraction) if word)} in"


def shortened(text: str, most_px: float, size: float) -> str:
    """The text, or as many of its words as fit."""
    fits = text
    while text_width(fits, size) > most_px and " " in fits:
        fits = fits.rsplit(" ", 1)[0]
    return fits


def wrapped(text: str, most_px: float, size: float) -> list[str]:
    lines = [""]
    for word in text.split():
        candidate = f"{lines[-1]} {word}".strip()
        if text_width(candidate, size) > most_px and lines[-1]:
            lines.append(word)
        else:
            lines[-1] = candidate
    return lines
