"""The limits that a signed lift plan gives to the day's readings: gust, radius, read-out, level, distances.

They are the numbers of its card, from what the release froze. While the lift is not done they are those of
the plan in force, and only while it is signed and not void; of a lift that is done those of its own day.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from installs.checklists.limits import Limit, Limits
from installs.jobs.getters import phases_begun
from installs.jobs.models import DesignRevision, Job
from installs.jobs.standing import Footing, footings
from installs.lift import cases
from installs.lift.cases import Figures
from installs.lift.models import TOWER_LIFT, TURBINE_LIFT, row_of
from installs.lift.review import load_lifts, signed_figures
from installs.lift.state import LiftState
from sitecalc.inputs import InputError
from sitecalc.lift.power_lines import line_clearance

READ_OUT = 1.10  # of the gross load: the read-out that stops the lift (common practice, no source)


def stop_read_out(gross_lb: float) -> int:
    """lb, down to ten: the read-out past which the lift stops."""
    return math.floor(READ_OUT * gross_lb / 10) * 10


def never_beyond(radius_ft: float, furthest_ft: float) -> float:
    """ft, rounded down, as the chart was read for no more than this."""
    return math.floor(furthest_ft + 1e-9) if furthest_ft >= radius_ft + 1 else furthest_ft


def keep_out_in_feet(keep_out_ft: float) -> int:
    """ft, rounded up."""
    return math.ceil(keep_out_ft - 1e-9)


def stop_gust(gust_mph: float) -> int:
    """mph, rounded down."""
    return math.floor(gust_mph + 1e-6)


Range = tuple[float | None, float | None]
OPEN: Range = (None, None)


@dataclass(frozen=True)
class _Plan:
    """A release: its figures, and what was worked out from them."""

    figures: Figures
    results: Mapping[str, Any]

    def of(self, name: str, key: str) -> Any:
        return (self.results.get(name) or {}).get(key)


def _gust(plan: _Plan) -> Range:
    gust = plan.of("wind", "stop_gust_mph")
    return (None, None if gust is None else float(stop_gust(gust)))


def _radius(plan: _Plan) -> Range:
    radius, furthest = plan.figures.known.radius_ft, plan.results.get("furthest_ft")
    return (
        OPEN if radius is None or furthest is None else (None, float(f"{never_beyond(radius, furthest):.4g}"))
    )


def _trial(plan: _Plan) -> Range:
    """The first pick within 10 %: more is weight that nobody counted, less a read-out that is wrong."""
    rows = plan.results.get("raise") or []
    gross = rows[0]["gross_lb"] if rows else plan.results.get("gross_lb")
    return (
        OPEN
        if gross is None
        else (math.ceil((2 - READ_OUT) * gross / 10) * 10.0, float(stop_read_out(gross)))
    )


def _percent(plan: _Plan) -> Range:
    return 0.0, plan.figures.limits.permitted_to


def _level(plan: _Plan) -> Range:
    return 0.0, plan.figures.known.level_percent


def _keep_out(plan: _Plan) -> Range:
    keep_out = plan.results.get("keep_out_ft")
    return (None if keep_out is None else float(keep_out_in_feet(keep_out)), None)


def _line(plan: _Plan) -> Range:
    """From the crane's center: what may swing toward the line, and the distance that is kept from it."""
    case = cases.line_case(plan.figures, plan.of("wind", "drift_ft"))
    if isinstance(case, list):
        return OPEN
    required = line_clearance(case).required_ft
    return OPEN if required is None else (float(math.ceil(case.reach_step().value + required - 1e-9)), None)


def _ground(plan: _Plan) -> Range:
    """The ground found must bear what the mats press with; whatever is softer is no ground for this lift."""
    pressed = (plan.of("ground", "mat") or {}).get("bearing_psf")
    return (None if pressed is None else float(math.ceil(pressed - 1e-9)), None)


def _sling(plan: _Plan) -> Range:
    """The heavier leg's tension: a tag that says less is not the sling that was planned."""
    legs = [plan.of("slings", leg) for leg in ("near", "far")]
    tensions = [leg["tension_lb"] for leg in legs if leg]
    return (float(math.ceil(max(tensions))) if len(tensions) == len(legs) else None, None)


def _nuts(plan: _Plan) -> Range:
    return plan.figures.given.get("nuts"), None


def _plumb(plan: _Plan) -> Range:
    plumb, high = plan.figures.given.get("plumb_in"), plan.figures.known.length_ft
    return OPEN if not plumb or not high else (0.0, round(plumb / (12 * high) * 100, 6))


UNDER_MATS = "What the ground under the mats bears, by the soil report or as tested there."
FROM_CENTER = "From the crane's center of rotation to the nearest line."
GIVES: dict[str, dict[str, tuple[Callable[[_Plan], Range], str]]] = {
    TOWER_LIFT: {
        "H01": (_percent, ""),
        "H05": (_ground, UNDER_MATS),
        "H06": (_level, ""),
        "H07": (_radius, ""),
        "H08": (_line, FROM_CENTER),
        "H09": (_keep_out, ""),
        "H10": (_sling, ""),
        "H12": (_gust, ""),
        "H16": (_trial, "The first pick, within 10 %."),
        "H19": (_nuts, ""),
        "H20": (_plumb, ""),
    },
    TURBINE_LIFT: {"I02": (_radius, ""), "I05": (_gust, "")},
}
# the item by which the crew says which crane came
THE_CRANE = {TOWER_LIFT: "H00", TURBINE_LIFT: "I00"}


def given_by(revision: DesignRevision) -> dict[str, Limit]:
    """By the code of the item: the limits of one release, whether or not it is in force."""
    try:
        plan = _Plan(Figures(revision.inputs), revision.results)
        found = {code: (*gives(plan), how) for code, (gives, how) in GIVES[revision.part].items()}
    except (InputError, KeyError, TypeError, LookupError):  # a release that cannot be read gives none
        found = {code: (*OPEN, how) for code, (_, how) in GIVES[revision.part].items()}
    plain = Limit(plan=f"lift plan {revision.letter}", letter=revision.letter)
    given = {code: replace(plain, low=low, high=high, how=how) for code, (low, high, how) in found.items()}
    unit = row_of(revision.inputs, "crane").get("unit_number")
    return {THE_CRANE[revision.part]: replace(plain, named=unit or ""), **given}


def limits_of(which: str) -> Callable[[list[Job]], dict[int, Limits]]:
    """The loader for one lift, as its row in the table of parts names it."""

    def load(jobs: list[Job]) -> dict[int, Limits]:
        states, standing, begun = load_lifts(jobs), footings(jobs), phases_begun(jobs)
        found: dict[int, Limits] = {}
        for job in jobs:
            done_at = next((p.finished_at for p in begun[job.pk] if p.key == which), None)
            rows = _rows(which, standing[job.pk], states.get((job.pk, which)), done_at)
            found[job.pk] = {(which, code): limit for code, limit in rows.items()}
        return found

    return load


def _rows(
    which: str, footing: Footing, state: LiftState | None, done_at: datetime | None
) -> dict[str, Limit]:
    releases = [
        r for r in footing.earlier if r.part == which and (done_at is None or r.released_at <= done_at)
    ]
    if not releases or state is None:
        codes = (THE_CRANE[which], *GIVES[which])
        return {code: Limit(lacks="no lift plan is released") for code in codes}
    newest = releases[-1]
    known: dict[str, Any] = {
        "letters": tuple((r.released_at, r.letter) for r in releases),
        "same": frozenset(r.letter for r in releases if done_at or _same(r, newest)),
    }
    lacks = "" if done_at else _lacks(state)
    if lacks:  # then no number is a limit
        known |= {"lacks": lacks, "low": None, "high": None, "named": ""}
    return {code: replace(limit, **known) for code, limit in given_by(newest).items()}


def _lacks(state: LiftState) -> str:
    """Why a released plan gives no limit now; empty when it is signed and stands."""
    return "; ".join(state.void) or ("" if state.signed else f"lift plan {state.letter} is not signed")


def _same(earlier: DesignRevision, newest: DesignRevision) -> bool:
    """Another letter of the same plan: nothing of what is signed differs."""
    return earlier.pk == newest.pk or (
        earlier.stands_on == newest.stands_on
        and signed_figures(earlier.inputs) == signed_figures(newest.inputs)
    )
