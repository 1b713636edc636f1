"""What the foundation takes from the tower's design where its own figures are left empty."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from installs.jobs.models import Job
from installs.jobs.reading import read_once
from installs.tower.facts import TowerFacts
from installs.tower.models import TowerDesign
from installs.tower.review import review
from sitecalc.inputs import InputError

BASES = {0: "tube", 3: "3 legs", 4: "4 legs"}


@dataclass(frozen=True, kw_only=True)
class Given:
    """As the tower's draft has it; None where it does not know either."""

    base: str
    leg_spacing_ft: float
    anchor_per_leg: int
    anchor_pattern_in: float
    dead_kip: float | None
    moment_kip_ft: float | None
    shear_kip: float | None
    load_kind: str
    source: str

    def as_json(self) -> dict[str, Any]:
        return dict(vars(self))


@read_once
def tower_of(job: Job) -> Given | None:
    """None while there is no tower's design that can be reviewed."""
    draft = TowerDesign.of(job)
    if draft.pk is None:
        return None
    try:
        return given_by(review(draft).results, "tower's draft")
    except InputError:
        return None


def given_by(facts: TowerFacts, where: str) -> Given:
    """What a reviewed or released tower gives."""
    stated = facts.reactions
    return Given(
        base=BASES[facts.legs],
        leg_spacing_ft=facts.leg_spacing_ft,
        anchor_per_leg=facts.anchor_bolts,
        anchor_pattern_in=facts.anchor_pattern_in,
        dead_kip=facts.dead_kip,
        moment_kip_ft=stated.moment_kip_ft if stated else None,
        shear_kip=stated.shear_kip if stated else None,
        load_kind=stated.kind if stated else "",
        source=where + (f", {stated.source}" if stated and stated.source else ""),
    )
