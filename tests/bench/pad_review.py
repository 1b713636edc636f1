"""A full review of one pad and its bolts in every wind against one bare numpy pass over as many corners.

All in one process, ``.venv/bin/python tests/bench/pad_review.py``. Prints a table and asserts nothing: a
benchmark, not a test.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from sitecalc.foundation.anchor_case import AnchorageCase
from sitecalc.foundation.anchor_layout import AnchorLayout
from sitecalc.foundation.anchorage import check_anchorage
from sitecalc.foundation.loads import BaseLoads, strength
from sitecalc.foundation.margins import MarginCase, margins
from sitecalc.foundation.pad import PadCase
from sitecalc.foundation.pad_strength import check_strength
from sitecalc.foundation.rebar import MatCase
from sitecalc.foundation.search import SearchCase, smallest_pad
from sitecalc.foundation.stability import check_pad
from sitecalc.foundation.strength_case import StrengthCase

ROUNDS = 40
PAD = PadCase(
    side_ft=20.0,
    thickness_ft=4.0,
    dead_kip=12.0,
    moment_kip_ft=900.0,
    shear_kip=12.0,
    kind="ASCE strength level",
    soil="SC",
    frost_ft=3.0,
    water_ft=20.0,
)
MATS = MatCase(side_ft=20.0, thickness_ft=4.0, size="#8", count=27, cover_lower_in=3.0, cover_upper_in=2.0)


def bare_pass() -> None:
    """Area and moments of 64 rectangles: what no solver of 16 winds and 4 combinations can do without."""
    corners = np.arange(64 * 4, dtype=float).reshape(64, 4)
    x, y = np.cos(corners), np.sin(corners)
    x2, y2 = np.roll(x, -1, axis=-1), np.roll(y, -1, axis=-1)
    cross = x * y2 - x2 * y
    for part in (1.0, x + x2, y + y2, x * x + x * x2 + x2 * x2, y * y + y * y2 + y2 * y2):
        (cross * part).sum(axis=-1)


def review(case: StrengthCase) -> Callable[[], object]:
    return lambda: (check_pad(case.pad), check_strength(case))


def runs() -> dict[str, Callable[[], object]]:
    """What is timed, by its name in the table."""
    made: dict[str, Callable[[], object]] = {"bare numpy pass": bare_pass}
    for outline in ("rectangle", "octagon", "circle"):
        pad, mats = replace(PAD, outline=outline), replace(MATS, outline=outline)
        for legs, plate, words in ((0, 42.0, "tube"), (3, 14.0, "3 legs"), (4, 14.0, "4 legs")):
            spacing = 3.0 if legs == 0 else 8.0
            made[f"review, {outline}, {words}"] = review(
                StrengthCase(pad=pad, mats=mats, legs=legs, leg_spacing_ft=spacing, plate_side_in=plate)
            )
    for layout, words in (
        (AnchorLayout(legs=4, spacing_ft=8.0, bolts=4, pattern_in=10.0), "4 legs of 4"),
        (AnchorLayout(legs=1, spacing_ft=3.0, bolts=12), "ring of 12"),
        (AnchorLayout(legs=1, spacing_ft=9.0, bolts=60), "ring of 60"),
    ):
        for torsion, said in ((0.0, ""), (15.0, ", torsion")):
            anchored = AnchorageCase(
                layout=layout,
                loads=strength(
                    BaseLoads(dead_kip=12, moment_kip_ft=520, shear_kip=7, torsion_kip_ft=torsion)
                ),
                side_ft=17.0,
                thickness_ft=4.0,
            )
            made[f"anchor bolts, {words}{said}"] = partial(check_anchorage, anchored)
    four = StrengthCase(pad=PAD, mats=MATS, legs=4, leg_spacing_ft=8.0, plate_side_in=14.0)
    made["smallest pad, ground only"] = lambda: smallest_pad(SearchCase(PAD))
    made["smallest pad with its bars"] = lambda: smallest_pad(SearchCase(PAD, strength=four))
    made["margins"] = lambda: margins(MarginCase(PAD, four))
    return made


def main() -> None:
    timed = runs()
    times: dict[str, list[float]] = {name: [] for name in timed}
    for run in timed.values():
        run()
    for _ in range(ROUNDS):  # in turn, so that whatever else the machine does meets every one alike
        for name, run in timed.items():
            begun = time.perf_counter()
            run()
            times[name].append(time.perf_counter() - begun)
    base = statistics.median(times["bare numpy pass"])
    print(f"median of {ROUNDS}\n\n{'':<34}{'ms':>9}{'ratio':>9}")
    for name, taken in times.items():
        spent = statistics.median(taken)
        print(f"{name:<34}{spent * 1000:>9.2f}{spent / base:>9.0f}")


if __name__ == "__main__":
    main()
