"""Where a renderer puts the dots of a stipple."""

from __future__ import annotations

import re

PATH = re.compile(r'scale\(([.\d]+)\)" d="([^"]*)"[^>]*stroke-dasharray="([.\d]+) ([.\d]+)"')


def drawn(svg: str) -> list[tuple[float, float]]:
    """By SVG 2 a pattern of dashes begins anew with each stroke, and a round cap stands on each dash."""
    found = []
    for scale, path, dash, gap in PATH.findall(svg):
        for x, y, length in re.findall(r"M(-?\d+) ?(-?\d+)h(\d+)", path):
            start = 0.0
            while start < float(length):
                found.append(((float(x) + start) * float(scale), float(y) * float(scale)))
                start += float(dash) + float(gap)
    return found
