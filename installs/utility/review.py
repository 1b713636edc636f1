"""The screens of an application, from its figures, the ground station's and the utility's limits."""

from __future__ import annotations

from dataclasses import fields

from installs.utility.facts import Applied
from installs.utility.models import UtilityProfile
from sitecalc.checks import Check
from sitecalc.utility.figures import ScreensCase
from sitecalc.utility.screens import check_screens


def screens(found: Applied, profile: UtilityProfile | None) -> tuple[Check, ...]:
    """Without a profile the utility's limits are not known, and nothing that hangs on one passes."""
    station, row = found.parts.station, found.application
    across = "three-phase" if found.parts.three_phase else row.across
    declared = {field.name for field in fields(ScreensCase)}
    own = {f.name: getattr(row, f.name) for f in row._meta.concrete_fields if f.name in declared}
    limits = {name: getattr(profile, name, None) for name in LIMITS}
    taken = {
        "new_kw": row.ac_kw,
        "across": across,
        "inverter_v": station.inverter_v if station else None,
        "inverter_fault_a": station.inverter_fault_a if station else None,
        "transformer_kva": station.service_kva if station else None,
        "source": profile.source if profile else "",
    }
    return check_screens(ScreensCase(**{**own, **limits, **taken}))


LIMITS = (
    "most_kw", "section_pct", "network_pct", "network_most_kw", "fault_pct", "interrupting_pct",
    "shared_most_kw", "imbalance_pct",
)  # fmt: skip
