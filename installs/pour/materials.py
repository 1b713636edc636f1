"""Concrete of a released pour, for the material list: the very order that the plant is given."""

from __future__ import annotations

from typing import Any

from installs.jobs.material_lines import Line
from installs.pour.terms import terms_of

POUR = "pour"


def lines(revision: Any) -> list[Line]:
    """Net volume of the foundation it was released with; the allowance is what the order has over it."""
    terms = terms_of(revision.inputs, revision.letter)
    ordered = terms.order()
    if ordered is None:
        return []
    loads = ", ".join(f"{load:g}" for load in ordered.loads_yd3)
    count = len(ordered.loads_yd3)
    return [
        Line(
            POUR,
            "Concrete",
            f"{terms.figures.fc_psi:,.0f} psi, {count} truck{'s' if count != 1 else ''} of {loads} yd3",
            ordered.net_yd3,
            "yd3",
            ordered.order_yd3 - ordered.net_yd3,
            good=f"Concrete, {terms.figures.fc_psi:,.0f} psi",
        )
    ]
