"""The pour as a row of the table of parts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from installs.jobs.models import DesignRevision
from installs.jobs.parts import ByHand, OnPaper, Part, Sheet, Taken, Taking
from installs.pour.book import strip
from installs.pour.by_hand import CURE, TRUCKS, cure_pages, cure_sheets, truck_pages, truck_sheets
from installs.pour.field_log import CYLINDERS, RULE_OF, TRUCK
from installs.pour.materials import lines
from installs.pour.models import PourDesign
from installs.pour.released_pad import pad_in, pad_of
from installs.pour.review import review
from installs.pour.sheets import (
    cure_log_sheet,
    deviations_sheet,
    pour_card_sheet,
    special_inspection_sheet,
    strength_notice_sheet,
)
from installs.pour.terms import terms_of
from sitecalc.pour.cold import COLD_AIR_F
from sitecalc.pour.placing import CONCRETE, WATER, limits_of, temperature_range

OF_THE_PAD = ("width_ft", "across_ft", "thickness_in", "volume_ft3", "fc_psi")


def given(draft: PourDesign) -> dict[str, Any]:
    """The pad of the foundation's release, that it is judged with."""
    return {"foundation": pad_of(draft.job)}


def _sensors(revision: DesignRevision) -> tuple[str, ...]:
    return terms_of(revision.inputs).sensors


def _on_paper(revision: DesignRevision) -> dict[str, OnPaper]:
    """A line for every truck that is ordered and one for a truck that takes the place of a rejected one."""
    terms = terms_of(revision.inputs, revision.letter)
    order, limits = terms.order(), terms.limits()
    trucks = tuple(f"truck {n}" for n in range(1, len(order.loads_yd3) + 2)) if order else ()
    table = limits_of(limits, None) if limits else ()
    accepted = {row.rule: row.accepted.removesuffix(" accepted") for row in table}
    if limits:
        low, high = temperature_range(limits, COLD_AIR_F - 1)
        accepted[CONCRETE] += f"; air under {COLD_AIR_F:g} F, {low:g} to {high:g} F"
        accepted[WATER] = "as the ticket allows"
    rules = {code: accepted.get(rule, "") for code, rule in RULE_OF.items()}
    return {code: OnPaper(trucks, rules.get(code, "")) for code in TRUCK}


def _taken(inputs: Mapping[str, Any]) -> Taken:
    """Without a foundation it was released for no pad at all: any that is released differs."""
    pad = inputs.get("foundation")
    return Taken({name: (pad or {}).get(name) for name in OF_THE_PAD}, given=pad is not None)


THE_PAD: dict[str, tuple[str, str] | None] = {
    "foundation.width_ft": ("Pad, north to south", "ft"),
    "foundation.across_ft": ("Pad, east to west", "ft"),
    "foundation.thickness_in": ("Pad, thickness", "in"),
    "foundation.volume_ft3": ("Concrete in the pad", "ft3"),
    "foundation.fc_psi": ("Concrete, specified strength", "psi"),
    "foundation.letter": ("Foundation, release", ""),
}

PART = Part(
    key="pour",
    room="pour",
    title="Pour",
    page="pour",
    sheet="P",
    phase="pour",
    draft=PourDesign,
    review=review,
    records=(
        Sheet("pour_card", pour_card_sheet),
        Sheet("trucks", truck_sheets),
        Sheet("cure_log", cure_log_sheet),
        Sheet("cure_round", cure_sheets),
        Sheet("strength_notice", strength_notice_sheet),
        Sheet("special_inspection", special_inspection_sheet),
        Sheet("deviations", deviations_sheet),
    ),
    materials=lines,
    strip=strip,
    strip_at=("pour", "cure"),
    given=given,
    labels=lambda: THE_PAD,
    subjects={("cure", "sensor"): _sensors},
    subjects_beside={("cure", "sensor"): ("air",)},
    on_paper=_on_paper,
    by_hand={
        "pour": ByHand(title=TRUCKS, sheets=truck_pages, codes=(*TRUCK, CYLINDERS), key_page="pour-key-in"),
        "cure": ByHand(title=CURE, sheets=cure_pages, key_page="cure-key-in"),
    },
    stands_on=(
        Taking(
            part="foundation",
            taken=_taken,
            offered=pad_in,
            words={
                "volume_ft3": ("concrete", "{:,.0f} ft3 of concrete"),
                "fc_psi": ("strength", "{:,.0f} psi"),
                "width_ft": ("side", "a side of {:,.4g} ft"),
                "thickness_in": ("thickness", "{:,.4g} in thick"),
            },
        ),
    ),
)
