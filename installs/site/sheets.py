"""The site's paper sheets: plan with its checks, and the note on wind and energy."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from installs.drafting import to_svg
from installs.jobs.figures import figures_of
from installs.jobs.models import DesignRevision, Job
from installs.site.charts import energy_svg, months_svg
from installs.site.clearance import clearance_view
from installs.site.plan import View, site_plan
from installs.site.review import SiteReview, review_figures

WIND_CHECKS = ("wind", "wind-height", "rotor-share", "turbine-class")
WIND_FIGURES = (
    "mean_mph", "wind_at_ft", "law", "exponent", "roughness_ft", "displacement_ft", "second_mph",
    "second_at_ft", "weibull_k", "temperature_f", "elevation_ft", "downtime_pct", "electrical_pct",
    "turbulence_pct", "icing_pct", "other_pct",
)  # fmt: skip
GROUND_FIGURES = ("frost_ft", "soil", "access", "ordinance", "sound_ordinance", "determination")


def plan_sheet(job: Job, revision: DesignRevision) -> dict[str, Any]:
    """Site plan and clearance to scale, setbacks, airspace and sound."""
    found = review_figures(revision.inputs)
    drawn = {"plan": to_svg(site_plan(found.figures, found.results, balloons=False), for_print=True)}
    if found.results is not None:
        drawn["clearance"] = to_svg(
            clearance_view(found.figures, found.results, width_px=560, balloons=False), for_print=True
        )
    return {
        "title": "Site plan",
        "sheet": "S-1",
        "scale": f"1 in = {View.of(found.figures, found.results).feet_per_inch:g} ft",
        "drawings": drawn,
        "checks": [c for c in revision.checks if c["key"] not in WIND_CHECKS],
        "facts": found.results,
        "ground": _given(revision, GROUND_FIGURES),
    }


def energy_sheet(job: Job, revision: DesignRevision) -> dict[str, Any]:
    """Mean wind at the hub, energy of a year with its band, what was put in."""
    found = review_figures(revision.inputs)
    return {
        "title": "Wind and energy",
        "sheet": "S-2",
        "drawings": _charts(found),
        "checks": [c for c in revision.checks if c["key"] in WIND_CHECKS],
        "facts": found.results,
        "machine": found.machine.name if found.machine else "",
        "figures": _given(revision, WIND_FIGURES),
    }


def _charts(found: SiteReview) -> dict[str, str]:
    if found.energy is None:
        return {}
    drawn = {"energy": energy_svg(found.energy)}
    if found.energy.monthly_kwh:
        drawn["months"] = months_svg(found.energy, for_print=True)
    return drawn


def _given(revision: DesignRevision, names: tuple[str, ...]) -> list[dict[str, Any]]:
    """Those of the named figures that were given, with their sources."""
    inputs: Mapping[str, Any] = revision.inputs
    kept = {name: inputs[name] for name in names if inputs.get(name) not in (None, "")}
    return figures_of("site", {**kept, "notes": inputs.get("notes") or {}})
