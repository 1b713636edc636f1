"""The words of the lift card: twelve limits for the crew, the table by angle, the people, the gate."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from installs.lift import cases
from installs.lift.cases import Figures
from installs.lift.checking import LiftReview
from installs.lift.limits import keep_out_in_feet, never_beyond, stop_read_out
from installs.lift.models import PEOPLE, row_of
from sitecalc.checks import readable
from sitecalc.lift.chart import Load, percent_in_words
from sitecalc.lift.raising import RaiseCase, raise_at
from sitecalc.lift.rigging import LEGS
from sitecalc.lift.wind import limit_in_words
from sitecalc.wording import clock_words, day_words

HOLD_MINUTES = 3


@dataclass(frozen=True)
class Limit:
    number: int
    word: str
    text: str


def limits(review: LiftReview, *, stop_word: str) -> list[Limit]:
    """The twelve lines. What was not checked says so: a blank line would read as no limit."""
    f = review.figures
    lines = (
        ("Wind", _wind(review)),
        ("Radius", _radius(review)),
        ("Load", _load(review)),
        ("Chart", _chart(review)),
        ("Ground", _ground(review)),
        ("Slings", _slings(review)),
        ("People", _people(review)),
        ("Lines", _lines(f)),
        ("Trial", _trial(review)),
        ("Unhook", _unhook(f)),
        ("Stop", _stop(f, stop_word)),
        ("Lightning", "Within 10 miles: boom down, then wait 30 minutes."),
    )
    return [Limit(number, word, text) for number, (word, text) in enumerate(lines, start=1)]


NOT_CHECKED = "Not checked. Ask the lift director before anything is lifted."


def _what(f: Figures) -> str:
    return "tower" if f.is_tower else "turbine"


def _wind(review: LiftReview) -> str:
    if review.wind is None:
        return NOT_CHECKED
    stop, chart = review.wind.stop_gust_mph, review.figures.row("chart") or {}
    allows = readable(chart["gust_mph"])
    said = (
        f"Stop at a gust of {limit_in_words(stop)} mph at the boom tip: a forecast mean of "
        f"{limit_in_words(review.wind.forecast_mph, 1)} mph at 33 ft brings it. Chart allows {allows} mph"
    )
    if review.wind.limit_gust_mph < chart["gust_mph"]:
        area_mph = limit_in_words(review.wind.limit_gust_mph, 1)
        return f"{said}; the {_what(review.figures)}’s wind area makes it {area_mph} mph."
    return f"{said}."


def _radius(review: LiftReview) -> str:
    never = _never_beyond(review)
    if not never:
        return NOT_CHECKED
    return f"{review.figures.known.radius_ft:g} ft, taped at start and end; never beyond {never} ft."


def _load(review: LiftReview) -> str:
    load = review.load
    if load is None:
        return NOT_CHECKED
    named = [(_what(review.figures), f"{load.item_lb:,.0f} lb"), *loads(load)]
    parts = ", ".join(f"{name} {pounds}" for name, pounds in named)
    gross = f"gross {load.gross_lb:,.0f} lb. Stop if the read-out passes {stop_read_out(load.gross_lb):,} lb."
    return f"{parts[:1].upper()}{parts[1:]}: {gross}"


def _chart(review: LiftReview) -> str:
    if review.chart is None:
        return NOT_CHECKED
    words = (review.figures.row("chart") or {}).get("configuration", "")
    kind = review.chart.lift_class
    percent = percent_in_words(review.chart.percent, review.figures.limits)
    return f"{review.chart.found.in_words}, {words}: {percent}, {_a(kind)}."


def _a(words: str) -> str:
    return words if words == "not permitted" else f"a {words}"


def _ground(review: LiftReview) -> str:
    f, ground = review.figures, review.ground
    soil = f.known.soil_psf
    if ground is None or soil is None:
        return NOT_CHECKED
    most = math.ceil(ground.outrigger.load_lb / 100) * 100
    said = (
        f"4 mats {f.known.mat_length_ft:g} by {f.known.mat_width_ft:g} ft, at most "
        f"{most:,} lb on one: {ground.mat.bearing_psf:,.0f} of {soil:,.0f} psf. "
        f"Level within {f.known.level_percent:g} %."
    )
    deep = f.known.excavation_deep_ft
    return f"{said} No mat within {deep:g} ft of the backfill." if deep else said


def _slings(review: LiftReview) -> str:
    f = review.figures
    near, far = f.row("near_sling"), f.row("far_sling")
    legs = [c for c in review.checks if c.key in (LEGS["near"].key, LEGS["far"].key)]
    least = min((c.capacity for c in legs if c.capacity is not None), default=None)
    if review.slings is None or near is None or far is None or least is None or len(legs) < 2:
        return NOT_CHECKED
    if any(c.capacity is None for c in legs):
        return NOT_CHECKED
    most = review.slings.heavier.tension_lb
    hitches = list(dict.fromkeys(h for h in (f.known.near_hitch, f.known.far_hitch) if h))
    how = f", {' and '.join(hitches)}" if hitches else ""
    return f"Two legs{how}, tags {near['tag']}, {far['tag']}: {most:,.0f} of {least:,.0f} lb per leg."


def _people(review: LiftReview) -> str:
    if review.keep_out_ft is None:
        return NOT_CHECKED
    under = "under the tower or in its fall line" if review.figures.is_tower else "under the load or its path"
    return f"Nobody within {keep_out_in_feet(review.keep_out_ft)} ft but those named below; nobody {under}."


def _lines(f: Figures) -> str:
    if f.known.line_ft is not None and f.known.line_kv is not None:
        least = 20 if f.known.line_kv <= 350 else 50
        kept = "Table A and its measures" if f.known.table_a_kept else f"keep {least} ft away from it"
        return f"{f.known.line_kv:g} kV line {f.known.line_ft:g} ft off; {kept}."
    if f.known.no_line_ft is not None and f.known.line_ft is None:
        return f"No power line within {f.known.no_line_ft:g} ft; look again before the boom goes up."
    return NOT_CHECKED


def _trial(review: LiftReview) -> str:
    if review.load is None:
        return NOT_CHECKED
    if review.figures.is_tower and review.raise_rows:
        first = (
            f"First pick, tower flat: top end up 6 to 12 in, gross {review.raise_rows[0].gross_lb:,.0f} lb."
        )
    else:
        first = f"First pick: 6 to 12 in up, gross {review.load.gross_lb:,.0f} lb."
    return f"{first} Hold {HOLD_MINUTES} minutes: brake, level, read-out within 10 %."


def _unhook(f: Figures) -> str:
    both = "both the foreman and the lift director say so"
    if not f.is_tower:
        bolts = f"All {f.given['yaw_bolts']} yaw bolts" if f.given.get("yaw_bolts") else "All tower-top bolts"
        return f"{bolts} in and torqued as listed, rotor locked, and {both}."
    nuts = f"All {f.given['nuts']} nuts" if f.given.get("nuts") else "All anchor nuts"
    plumb = f.given.get("plumb_in")
    within = (
        f"plumb within {math.floor(plumb):g} in" if plumb and plumb >= 1 else "plumb as the engineer says"
    )
    return f"{nuts} on and snug, {within}, and {both}."


def _stop(f: Figures, stop_word: str) -> str:
    radio = f.known.radio
    said = f"Radio channel {radio}, hand signals when the radio fails." if radio else "Hand signals."
    return f"The word is “{stop_word}”. Anyone says it. {said}"


def slow_from(case: RaiseCase, free_deg: float) -> int:
    """The last five degrees of the scale at which the hook has hardly more than flat."""
    flat = raise_at(case, 0.0).hook_lb
    return max(a for a in range(0, 90, 5) if a < free_deg and raise_at(case, float(a)).hook_lb <= 1.2 * flat)


def raise_note(review: LiftReview) -> str:
    case = cases.raise_case(review.figures)
    if review.raising is None or review.load is None or isinstance(case, list):
        return ""
    free = review.raising.free_deg
    slow = slow_from(case, free)
    said = f"The whole weight comes on in the last {max(round(free - slow), 1)} degrees: slow from {slow}°."
    return f"{said} {besides(review.load)}"


def besides(load: Load) -> str:
    """What comes on top of the item, named."""
    names = ", ".join(name for name, _pounds in loads(load))
    return f"Gross adds {load.besides_lb:,.0f} lb of {names}."


def loads(load: Load) -> list[tuple[str, str]]:
    """All that the chart counts beside the item itself."""
    named = (
        ("block", load.block_lb),
        ("ball", load.ball_lb),
        ("slings", load.rigging_lb),
        ("stowed jib", load.jib_lb),
        ("auxiliary head", load.aux_head_lb),
    )
    return [(name, f"{pounds:,.0f} lb") for name, pounds in named if pounds]


def when(inputs: Mapping[str, Any]) -> str:
    """ "Thu May 29, 2031, 07:00; weather day Mon Jun 2" """
    if not inputs.get("lift_on"):
        return "no day named"
    day = date.fromisoformat(inputs["lift_on"])
    said = day_words(day, weekday=True, year=True)
    if inputs.get("lift_at"):
        said += f", {clock_words(time.fromisoformat(inputs['lift_at']))}"
    if inputs.get("weather_day"):
        other = date.fromisoformat(inputs["weather_day"])
        said += f"; weather day {day_words(other, weekday=True, beside=(day,))}"
    return said


@dataclass(frozen=True)
class Big:
    """A number that is read from 6 ft, and what belongs to it."""

    word: str
    number: str
    unit: str
    note: str


def big(review: LiftReview) -> list[Big]:
    """The four numbers that stop a lift. One that is not known says so as large as the others."""
    wind, geometry, load, f = review.wind, review.geometry, review.load, review.figures
    gust = forecast = ""
    if wind is not None:
        gust = limit_in_words(wind.stop_gust_mph)
        forecast = f"at the boom tip; forecast mean {limit_in_words(wind.forecast_mph, 1)} mph at 33 ft"
    never = _never_beyond(review)
    taped = f"radius; {f.known.radius_ft:g} ft as taped" if never else ""
    stop = f"{stop_read_out(load.gross_lb):,}" if load else ""
    gross = f"on the read-out; gross {load.gross_lb:,.0f} lb" if load else ""
    clear = f"{f.known.clear_ft:g}" if geometry else ""
    planned = f"boom to load; {geometry.closest.clear_ft:.1f} ft by the plan" if geometry else ""
    return [
        _big("Stop at a gust of", gust, "mph", forecast),
        _big("Never beyond", never, "ft", taped),
        _big("Stop at", stop, "lb", gross),
        _big("Keep at least", clear, "ft", planned),
    ]


def _big(word: str, number: str, unit: str, note: str) -> Big:
    return (
        Big(word, number, unit, note) if number else Big(word, "?", "", "not checked: ask the lift director")
    )


def _never_beyond(review: LiftReview) -> str:
    radius, furthest = review.figures.known.radius_ft, review.furthest_ft
    if radius is None or furthest is None:
        return ""
    return f"{never_beyond(radius, furthest):.4g}"


def go(review: LiftReview, stop_word: str) -> str:
    """Which crane by which page, and who says go."""
    crane, chart = review.figures.row("crane") or {}, review.figures.row("chart") or {}
    director = (review.figures.row("lift_director") or {}).get("name")
    page = f", chart page {chart['page']}" if chart.get("page") else ", chart page not given"
    unit = f"Crane {crane['unit_number']}{page}." if crane else "No crane is named."
    says = f"{director}, lift director, says go, and nobody else" if director else "nobody may say go"
    return f"{unit} {says[:1].upper()}{says[1:]}; anyone says “{stop_word}”."


def signed_line(boxes: Iterable[Mapping[str, str]], roles: Iterable[str]) -> str:
    """ "Dale Rust, May 26, 2031; Lyle Fern, on paper, May 26, 2031" """
    wanted = set(roles)
    return "; ".join(f"{b['name']}, {b['when']}" for b in boxes if b["role"] in wanted)


@dataclass(frozen=True)
class Signed:
    """A signature as card and plan say it: ``by`` recorded it for another, with its ``sheet``."""

    at: datetime
    by: str = ""
    sheet: bool = False

    @property
    def seen(self) -> bool:
        """Whether anybody can see it: by the own hand here, or on the paper that is kept."""
        return self.sheet or not self.by


def people(
    inputs: Mapping[str, Any],
    cards: Mapping[str, Any],
    signed: Mapping[str, Signed],
    *,
    void: bool = False,
) -> list[dict[str, str]]:
    """Five boxes: name, card, signature where there is one.

    Under a plan that is void a signature says so. What nobody can see is not written as a hand.
    """
    boxes = []
    for name in PEOPLE:
        role = name.replace("_", " ")
        row = row_of(inputs, name)
        card, signature = cards.get(name), signed.get(role)
        boxes.append(
            {
                "role": role,
                "name": row.get("name", ""),
                "card": f"card to {day_words(card.expires_on, year=True)}" if card else "",
                "hand": _short(row.get("name", "")) if signature and signature.seen and not void else "",
                "when": _when_signed(signature) if signature else "",
                "signed": f"{'void: ' if void else ''}{_signed(signature)}" if signature else "",
            }
        )
    return boxes


def _short(name: str) -> str:
    """ "D. Rook" """
    first, _, rest = name.partition(" ")
    return f"{first[:1]}. {rest}" if rest else name


def _signed(signed: Signed) -> str:
    if not signed.seen:
        return _when_signed(signed)
    return f"signed {'on paper ' if signed.by else ''}{day_words(signed.at, year=True)}"


def _when_signed(signed: Signed) -> str:
    day = day_words(signed.at, year=True)
    if not signed.seen:
        return f"recorded by {signed.by} without the signed sheet, {day}"
    return f"{'on paper, ' if signed.by else ''}{day}"
