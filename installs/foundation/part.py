"""The foundation as a row of the table of parts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from installs.foundation.book import strip
from installs.foundation.materials import lines
from installs.foundation.models import FoundationDesign
from installs.foundation.review import review
from installs.foundation.sheets import bars_sheet, checks_sheet, equipment, pad_sheet, template_sheet
from installs.foundation.tower import given_by, tower_of
from installs.jobs.models import DesignRevision
from installs.jobs.parts import Part, Sheet, Taken, Taking, taken_by_name
from installs.tower.facts import released_facts

LEG_NAMES = "ABCD"
FROM_TOWER = (
    "base", "leg_spacing_ft", "anchor_per_leg", "anchor_pattern_in", "dead_kip", "moment_kip_ft", "shear_kip",
    "load_kind",
)  # fmt: skip


def given(draft: FoundationDesign) -> dict[str, Any]:
    """What the tower's draft gives, so that a release freezes what it was judged for."""
    tower = tower_of(draft.job)
    return {"tower": tower.as_json() if tower else None}


def _legs(revision: DesignRevision) -> tuple[str, ...]:
    """Of a tube none: it has one ring."""
    legs = (revision.results.get("legs") or {}).get("legs") or 0
    return tuple(f"leg {name}" for name in LEG_NAMES[:legs])


def _taken(inputs: Mapping[str, Any]) -> Taken:
    return taken_by_name(inputs.get("tower"), inputs, FROM_TOWER)


def _offered(revision: DesignRevision) -> dict[str, Any]:
    return given_by(released_facts(revision), f"tower {revision.letter}").as_json()


PART = Part(
    key="foundation",
    room="foundation",
    title="Foundation",
    page="foundation",
    sheet="F",
    phase="excavation",
    draft=FoundationDesign,
    review=review,
    sheets=(
        Sheet("pad", pad_sheet),
        Sheet("checks", checks_sheet),
        Sheet("bars", bars_sheet),
        Sheet("template", template_sheet),
    ),
    equipment=equipment,
    criteria=("seismic_category", "frost_ft", "soil", "report_bearing_psf"),
    materials=lines,
    strip=strip,
    given=given,
    labels=lambda: {"tower.source": ("Reactions taken from", "")},
    subjects={("", "leg"): _legs},
    stands_on=(
        Taking(
            part="tower",
            taken=_taken,
            offered=_offered,
            words={
                "moment_kip_ft": ("moment", "{:,.4g} kip-ft"),
                "shear_kip": ("shear", "{:,.4g} kip of shear"),
                "dead_kip": ("dead load", "{:,.4g} kip dead load"),
                "base": ("base", "base on {}"),
                "leg_spacing_ft": ("leg spacing", "legs {:,.4g} ft apart"),
                "anchor_per_leg": ("anchor bolts", "{:g} anchor bolts a leg"),
                "anchor_pattern_in": ("anchor pattern", "anchor pattern of {:,.4g} in"),
                "load_kind": ("kind of loads", "loads by {}"),
            },
        ),
    ),
)
