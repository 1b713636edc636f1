"""The crane's load chart as curves with this lift in it."""

from __future__ import annotations

from installs.equipment.load_curves import Planned, Way, both_svgs, curves_svg
from installs.lift import cases
from installs.lift.checking import LiftReview
from installs.lift.raise_table import radius_at
from sitecalc.lift.chart import LiftClass


def planned(review: LiftReview) -> Planned | None:
    """None while load, radius, boom or the drift in the wind is not known."""
    f = review.figures
    if review.load is None or review.wind is None:
        return None
    case = cases.chart_case(f, review.load, review.wind.drift_ft)
    if isinstance(case, list):
        return None
    chart = review.chart
    return Planned(
        boom_ft=case.boom_ft,
        radius_ft=case.radius_ft,
        read_ft=case.furthest_ft,
        gross_lb=review.load.gross_lb,
        found=chart.found if chart else None,
        kind=chart.lift_class if chart else LiftClass.NOT_PERMITTED,
        limits=f.limits,
        way=tuple(
            Way(
                radius_ft=radius_at(f, row.angle_deg, case.furthest_ft),
                gross_lb=row.gross_lb,
                percent=row.percent,
            )
            for row in review.raise_rows
        ),
    )


def for_page(review: LiftReview) -> dict[str, str]:
    """Wide and for a phone; nothing without a chart."""
    ratings = cases.ratings_of(review.figures)
    return both_svgs(ratings, planned(review)) if ratings else {}


def for_paper(review: LiftReview) -> str:
    """Over the whole width of a Letter sheet; "" without a chart."""
    ratings = cases.ratings_of(review.figures)
    if not ratings:
        return ""
    return curves_svg(ratings, planned(review), wide_px=380, high_px=132, keys_px=330, for_print=True)
