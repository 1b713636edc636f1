"""What a special inspector of a concrete foundation watches, beside what is on record of it."""

from __future__ import annotations

from installs.checklists.standing import shortfall, standing
from installs.jobs.models import Job
from installs.pour.record_words import PourRecord

# What, how often, the items of the lists that record it. IBC 2018 table 1705.3, items 1, 3, 5 to 8 and 12,
# read in a code collection (p. 447); that 2021 keeps them is from memory.
ITEMS = (
    ("Reinforcement: size, number, place, cover", "periodic", ("C02", "C03", "C04", "C05")),
    ("Anchor bolts in place before the concrete", "periodic", ("C09", "C10", "C12")),
    ("The required mix is used", "periodic", ("D01",)),
    ("Fresh concrete: slump, air, temperature, cylinders", "continuous", ("D03", "D04", "D05", "D08")),
    ("Placing and vibrating", "continuous", ("D02", "D11")),
    ("Curing: temperature and time", "periodic", ("E02", "E03")),
    ("Forms: shape, place, size", "periodic", ("C08",)),
    ("Strength before the tower is set", "before the lift", ("E07",)),
)
SOURCE = "IBC 2021 1704.2, 1704.3, table 1705.3 (clause not verified)"


def inspected(job: Job, record: PourRecord) -> list[dict[str, str]]:
    """Each item with what our own record holds; the inspector's own report is what counts."""
    codes = [code for _, _, listed in ITEMS for code in listed]
    kept: dict[str, int] = {}
    short: dict[str, set[str]] = {}
    for entry in standing(job.entries.filter(code__in=codes).select_related("item")):
        kept[entry.code] = kept.get(entry.code, 0) + 1
        if why := shortfall(entry):
            short.setdefault(entry.code, set()).add(why)
    return [
        {
            "what": what,
            "how": how,
            "kept": ", ".join(
                f"{c} ({', '.join([str(kept[c]), *sorted(short.get(c, ()))])})" for c in listed if c in kept
            )
            or "nothing on record",
        }
        for what, how, listed in ITEMS
    ]
