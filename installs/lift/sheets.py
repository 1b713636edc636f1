"""The lift plan's sheets: the card for the crew, and the plan behind it. Built from a release."""

from __future__ import annotations

from typing import Any

from django.utils import timezone
from django.utils.safestring import mark_safe

from installs.drafting import Drawing, to_svg
from installs.jobs.models import DesignRevision, Job
from installs.jobs.sealed import decided
from installs.lift import card, cases
from installs.lift.card_room import drawing_height, quadrant_radius
from installs.lift.checking import LiftReview, review_figures
from installs.lift.elevation import card_scale, elevation
from installs.lift.limits import keep_out_in_feet
from installs.lift.load_chart import for_paper
from installs.lift.models import LiftSignature, SignatureRole
from installs.lift.plan_view import keep_out_view, line_note, plan_view
from installs.lift.quadrant import quadrant
from installs.lift.raise_table import RaiseRow
from installs.lift.review import cards_of, load_lifts, standing_signatures
from installs.lift.state import LiftState
from installs.people.models import Firm
from installs.pour.review import load_cures
from installs.tower.review import load_torque
from sitecalc.lift.chart import percent_in_words

CARD_WIDE = 428.0
PLAN_WIDE, PLAN_HIGH = 428.0, 520.0
SIZE, KEEP_OUT_WIDE = 13.0, 72.0
SCALES = {3.0: "1/32 in = 1 ft", 2.0: "1/48 in = 1 ft", 1.5: "1/64 in = 1 ft", 1.0: "1/96 in = 1 ft"}
NUMBERS = {True: ("L-1", "L-2"), False: ("L-3", "L-4")}


def card_sheet(job: Job, revision: DesignRevision) -> dict[str, Any]:
    """The lift card: one Letter page for the crew on the day."""
    review = review_figures(revision.inputs)
    f = review.figures
    firm = Firm.objects.first()
    stop_word = firm.stop_word if firm else "stop"
    state = load_lifts([job]).get((job.pk, revision.part))
    boxes = _boxes(job, revision, state)
    signed = card.signed_line(boxes, SignatureRole.values) if state and state.signed else ""
    void = list(state.void) if state else []
    words: dict[str, Any] = {
        "limits": card.limits(review, stop_word=stop_word),
        "people": boxes,
        "signed_line": signed,
        "void": void,
        "standing": _standing(signed, void),
        "big": card.big(review),
        "go": card.go(review, stop_word),
        "gate": _gate(job, f.is_tower),
        "note": card.raise_note(review) if f.is_tower else "Brake on and rotor locked before the pick.",
    }
    high = drawing_height(
        f"{job.number} {job.owner}, {job.place}, {job.county}",
        f"{words['standing']} {words['gate']} {_deviations(job)}",
        words["limits"],
        words["people"],
        firm.name if firm else "",
        "Lift plan AA, turbine release AA, tower release AA, foundation release AA",
        words["big"],
        words["go"],
    )
    drawings, scale = _card_drawings(review, high, words["note"])
    return {
        "title": f"Lift card {revision.letter}: {revision.part}",
        "sheet": NUMBERS[f.is_tower][0],
        "size": "card",
        "said": _said(review),
        "when": card.when(revision.inputs),
        "drawings": drawings,
        "scale": f"Elevation, {scale}",
        "is_tower": f.is_tower,
        "rows": _rows(review),
        "item": f"{review.load.item_lb:,.0f} lb" if review.load else "",
        "loads": card.loads(review.load) if review.load else [],
        "gross": f"{review.load.gross_lb:,.0f} lb" if review.load else "",
        "keep_out": f"{keep_out_in_feet(review.keep_out_ft)} ft" if review.keep_out_ft is not None else "",
        "letter": revision.letter,
        "checks": [],
        **words,
    }


def _standing(signed: str, void: list[str]) -> str:
    """How the line of the gate begins: whether the card is for use."""
    if void:
        return f"Void: {'; '.join(void)}. Not for use."
    return f"Signed: {signed}." if signed else "Not for use until this line is signed."


def _boxes(job: Job, revision: DesignRevision, state: LiftState | None) -> list[dict[str, str]]:
    void = bool(state and state.void)
    return card.people(revision.inputs, cards_of(revision.inputs), _signed(job, revision), void=void)


def _deviations(job: Job) -> str:
    """As the template prints the open ones, for the room they take."""
    standing = job.deviations.prefetch_related("answers")
    return ", ".join(f"{d.number} {d.title}" for d in standing if d.is_open)


def plan_sheet(job: Job, revision: DesignRevision) -> dict[str, Any]:
    """Elevation, plan and every check with its verdict, for whoever approves the lift."""
    review = review_figures(revision.inputs)
    f = review.figures
    drawings: dict[str, str] = {}
    scale = ""
    if review.geometry is not None:
        px = card_scale(review, PLAN_WIDE, PLAN_HIGH)
        scale = f"Elevation, {SCALES[px]}"
        drawings["elevation"] = _print(elevation(review, px, size=SIZE, on_card=True))
        drawings["plan"] = _print(plan_view(review, _plan_px(review, 292.0), SIZE, title=""))
    if curves := for_paper(review):
        drawings["load_chart"] = mark_safe(curves)  # drawn by us, text escaped there
    state = load_lifts([job]).get((job.pk, revision.part))
    return {
        "title": f"Lift plan {revision.letter}: {revision.part}",
        "sheet": NUMBERS[f.is_tower][1],
        "size": "letter",
        "said": _said(review),
        "said_note": card.when(revision.inputs),
        "scale": scale,
        "drawings": drawings,
        "people": _boxes(job, revision, state),
        "crane": f.row("crane") or {},
        "chart": f.row("chart") or {},
        "line": line_note(review),
        "missing": state.against(job.local(timezone.now()).date()) if state else [],
        "checks": revision.checks,
    }


def _print(drawing: Drawing) -> str:
    return mark_safe(to_svg(drawing, for_print=True, margin=1.0))  # drawn by us, text escaped there


def _card_drawings(review: LiftReview, high_px: float, note: str) -> tuple[dict[str, str], str]:
    if review.geometry is None:
        return {}, "not drawn"
    px = card_scale(review, CARD_WIDE, high_px)
    made = {"elevation": _print(elevation(review, px, size=SIZE, on_card=True))}
    case = cases.raise_case(review.figures) if review.figures.is_tower else []
    if review.keep_out_ft is not None:
        made["keep_out"] = _print(keep_out_view(review, KEEP_OUT_WIDE))
    if review.raising is not None and not isinstance(case, list):
        radius = quadrant_radius(high_px, len(_rows(review)), note)
        made["quadrant"] = _print(quadrant(review, case, radius_px=radius, size=SIZE))
    else:
        made["plan"] = _print(plan_view(review, _plan_px(review, min(292.0, high_px - 190)), SIZE, title=""))
    return made, SCALES[px]


def _plan_px(review: LiftReview, wide_px: float) -> float:
    """The plan in round scales, so that its widest circle stands in the width."""
    widest = review.set_up.radius_ft if review.keep_out_ft is None else review.keep_out_ft
    reach = 2 * widest + 40
    return next(
        (96 / feet for feet in (20, 30, 40, 50, 60, 80, 100, 150, 200) if reach * 96 / feet <= wide_px), 0.4
    )


def _said(review: LiftReview) -> str:
    chart = review.chart
    if chart is None:
        return "Chart not checked"
    return (
        f"{chart.lift_class.capitalize()}, {percent_in_words(chart.percent, review.figures.limits)} of chart"
    )


MOST_ROWS = 5


def _rows(review: LiftReview) -> list[dict[str, Any]]:
    """The table by angle; angles with the same loads are one line, and of many the telling ones stand."""
    rows: list[dict[str, Any]] = []
    for row in _each_angle(review):
        same = rows and all(row[key] == rows[-1][key] for key in ("hook", "skid", "gross", "chart", "free"))
        if same:
            first = rows[-1]["raised"].split(" to ")[0].removesuffix(" flat")
            rows[-1] = {**row, "raised": f"{first} to {row['raised']}"}
        else:
            rows.append(row)
    # the first half of the tower raise changes little
    while len(rows) > MOST_ROWS:
        rows.pop(1)
    return rows


def _each_angle(review: LiftReview) -> list[dict[str, Any]]:
    return [
        {
            "raised": _raised(row),
            "hook": f"{row.hook_lb:,.0f} lb",
            "skid": f"{row.tail_lb:,.0f} lb",
            "gross": f"{row.gross_lb:,.0f} lb",
            "chart": f"{row.percent:.0f} %" if row.percent is not None else "out",
            "free": row.foot_free,
        }
        for row in review.raise_rows
    ]


def _raised(row: RaiseRow) -> str:
    word = " base free" if row.foot_free else " flat" if row.angle_deg == 0 else ""
    return f"{row.angle_deg:.0f}°{word}"


def _signed(job: Job, revision: DesignRevision) -> dict[str, card.Signed]:
    rows = LiftSignature.objects.filter(revision__job=job, revision__part=revision.part)
    log = decided([job])[job.pk]
    rows = rows.select_related("revision", "recorded_by").prefetch_related("sheets__file")
    standing = standing_signatures(revision, filter(log.signed, rows))
    return {
        role: card.Signed(
            job.local(s.signed_at), s.recorded_by.full_name if s.by_another_hand else "", bool(log.sheets(s))
        )
        for role, s in standing.items()
    }


def _gate(job: Job, is_tower: bool) -> str:
    """What must be true before the card is used, and what of it is not true as it is printed."""
    if not is_tower:
        return "Gate: 28-day acceptance of the concrete; tower plumb, bolts torqued; this plan signed."
    cure = load_cures([job], timezone.now()).get(job.pk)
    torque = load_torque([job]).get(job.pk)
    days = f"{cure.days_required:g} curing days" if cure else "the curing days"
    psi = f" {cure.required_psi:,.0f} psi" if cure and cure.required_psi else ""
    said = (
        f"Gate: {days}; strength notice,{psi} field-cured; backfill and bolt survey recorded; joints torqued."
    )
    early = cure.early_release if cure else None
    missing = [*(cure.missing if cure else ("no pour recorded",))]
    if torque is None or not torque.complete:
        missing.append(torque.sentence if torque else "tower joints not torqued")
    if early:
        said += f" {early}"
    if not missing:
        return said
    # the card is one page: the pages of the job say the rest
    more = f" and {len(missing) - 1} more" if len(missing) > 1 else ""
    return f"{said} Closed when printed: {missing[0]}{more}."
