"""The drawings of a lift's design page."""

from __future__ import annotations

from installs.drafting import Drawing, to_svg
from installs.lift import cases
from installs.lift.checking import LiftReview
from installs.lift.elevation import elevation
from installs.lift.load_chart import for_page
from installs.lift.models import LiftDesign
from installs.lift.plan_view import plan_view
from installs.lift.quadrant import quadrant


def drawings(review: LiftReview) -> dict[str, Drawing]:
    """Those for which the figures are there."""
    made: dict[str, Drawing] = {}
    if review.geometry is not None:
        made["elevation"] = elevation(review)
        made["plan"] = plan_view(review)
    if review.raising is not None:
        case = cases.raise_case(review.figures)
        if not isinstance(case, list) and review.figures.corners:
            made["quadrant"] = quadrant(review, case)
    return made


def draw(lift: LiftDesign, review: LiftReview | None) -> dict[str, str]:
    if review is None:
        return {}
    return {**{name: to_svg(drawing) for name, drawing in drawings(review).items()}, **for_page(review)}
