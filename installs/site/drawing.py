"""The site's drawings for its design page."""

from __future__ import annotations

from typing import Any

from installs.drafting import to_svg
from installs.drafting.plot import PHONE
from installs.site.charts import energy_svg, months_svg
from installs.site.clearance import clearance_view
from installs.site.plan import site_plan
from installs.site.review import SiteReview


def draw(draft: Any, review: SiteReview | None) -> dict[str, str]:
    """SVG by name: "plan", "clearance", "energy", "months" ("months_narrow"), as far as they are known."""
    figures = draft.figures
    facts = review.results if review else None
    found = {"plan": to_svg(site_plan(figures, facts, checks=review.checks if review else ()))}
    if facts is not None:
        found["clearance"] = to_svg(clearance_view(figures, facts))
    if review is not None and review.energy is not None:
        found["energy"] = energy_svg(review.energy)
        if review.energy.monthly_kwh:
            found["months"] = months_svg(review.energy)
            found["months_narrow"] = months_svg(review.energy, wide_px=PHONE)
    return found
