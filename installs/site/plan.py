"""The site plan: north up, the center of the tower's base at the origin, feet east and north."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice, pairwise, product

from installs.drafting import Drawing
from installs.drafting.frame import Point
from installs.site.facts import SiteFacts, Standing, in_plan, standing_things, trench_length_ft, trench_points
from installs.site.placing import Way, place_free
from installs.site.symbols import building_box, draw_thing, tower_mark, trench
from sitecalc.checks import Check, Verdict, readable
from sitecalc.figures import by_balloon
from sitecalc.site.figures import SiteFigures

BALLOONS = by_balloon(SiteFigures)

FEET_PER_INCH = (
    10,
    20,
    30,
    40,
    50,
    60,
    80,
    100,
    120,
    150,
    200,
    250,
    300,
    400,
    500,
    600,
    800,
    1000,
    2000,
    5000,
)
SIDES = ("north", "east", "south", "west")
WIDEST_PX, TALLEST_PX = 690.0, 640.0
# where along its line and how far beside it a distance may stand; how many bearings a note is tried at
SHARES = (0.5, 0.62, 0.38, 0.74, 0.26, 0.85)
BESIDE = (0.0, 16.0, -16.0, 32.0, -32.0)
TRIED = 8
RING_PX = (92.0, 64.0)
BARE_FT = 200.0  # drawn around the tower while nothing is given


def site_plan(
    figures: SiteFigures,
    facts: SiteFacts | None,
    *,
    balloons: bool = True,
    width_px: float = WIDEST_PX,
    checks: Iterable[Check] = (),
) -> Drawing:
    """Everything given with a bearing; what lies far outside the lot is named at the sheet's edge.

    What fails of ``checks`` is ringed where it stands.
    """
    view = View.of(figures, facts, width_px)
    d = Drawing("Site plan", px_per_ft=view.px_per_ft)
    lot = Lot(figures, view.box)
    _property(d, lot)
    _edges(d, lot)
    for thing in view.inside:
        draw_thing(d, thing, view.box)
    taken = [t.bearing_deg for t in view.inside if t.bearing_deg is not None]
    if figures.pad_bearing_deg is not None:
        taken.append(figures.pad_bearing_deg)
    _circles(d, facts, free_bearings(taken), balloons)
    points = trench_points(figures.trench)
    if len(points) > 1:
        trench(d, points)
    _pad(d, figures)
    tower_mark(d)
    _furniture(d, view)
    _trench_named(d, figures)
    _distances(d, view)
    _labels(d, view)
    if balloons:
        _balloons(d, figures, lot, view)
    _rings(d, lot, view, checks)
    return d


def _rings(d: Drawing, lot: Lot, view: View, checks: Iterable[Check]) -> None:
    """Round the property line or the thing that a failing check names."""
    at: dict[str, Point] = {
        "line north": (0.0, lot.high), "line south": (0.0, lot.low),
        "line east": (lot.right, 0.0), "line west": (lot.left, 0.0),
    }  # fmt: skip
    at |= {thing.name: thing.at for thing in view.inside if thing.at is not None}
    failing = {check.case.removeprefix("the ") for check in checks if check.verdict == Verdict.FAILS}
    for case in sorted(failing & at.keys()):
        d.crayon_loop(at[case], *RING_PX)


class View:
    """How much ground the sheet shows, and at what scale."""

    def __init__(
        self, box: tuple[float, float, float, float], px_per_ft: float, things: tuple[Standing, ...]
    ):
        self.box, self.px_per_ft = box, px_per_ft
        west, south, east, north = box
        self.inside = tuple(
            t for t in things if t.at is not None and west <= t.at[0] <= east and south <= t.at[1] <= north
        )
        self.outside = tuple(t for t in things if t not in self.inside)

    @property
    def feet_per_inch(self) -> float:
        return 96 / self.px_per_ft

    @classmethod
    def of(cls, figures: SiteFigures, facts: SiteFacts | None, width_px: float = WIDEST_PX) -> View:
        """The lot with a margin; of what stands outside it, what is not much farther off."""
        least = 1.25 * max((facts.setback_ft or facts.tip_ft) if facts else BARE_FT, 60.0)
        reach = {
            side: least
            if getattr(figures, f"{side}_ft") is None
            else 1.06 * max(getattr(figures, f"{side}_ft"), 0.3 * least)
            for side in ("west", "south", "east", "north")
        }
        things = standing_things(figures.things)
        farthest = 1.8 * max(reach.values())
        for thing in things:
            if thing.at is None or thing.distance_ft > farthest:
                continue
            x, y = thing.at
            deep = 1.08 * (thing.width_ft or 20.0) / 2
            reach["east"], reach["west"] = max(reach["east"], x + deep), max(reach["west"], deep - x)
            reach["north"], reach["south"] = max(reach["north"], y + deep), max(reach["south"], deep - y)
        wide, high = reach["west"] + reach["east"], reach["south"] + reach["north"]
        per_inch = next(
            (n for n in FEET_PER_INCH if wide * 96 / n <= width_px and high * 96 / n <= TALLEST_PX),
            FEET_PER_INCH[-1],
        )
        box = (-reach["west"], -reach["south"], reach["east"], reach["north"])
        return cls(box, 96 / per_inch, things)


class Lot:
    """Where the property lines run; a side that is not given runs along the sheet's edge and is not drawn."""

    def __init__(self, figures: SiteFigures, box: tuple[float, float, float, float]):
        self.given = {side: getattr(figures, f"{side}_ft") for side in SIDES}
        west, south, east, north = box
        n, e, s, w = (self.given[side] for side in SIDES)
        self.left, self.right = (west if w is None else -w), (east if e is None else e)
        self.low, self.high = (south if s is None else -s), (north if n is None else n)


def _property(d: Drawing, lot: Lot) -> None:
    left, right, low, high = lot.left, lot.right, lot.low, lot.high
    for side, a, b in (
        ("north", (left, high), (right, high)),
        ("east", (right, low), (right, high)),
        ("south", (left, low), (right, low)),
        ("west", (left, low), (left, high)),
    ):
        if lot.given[side] is not None:
            d.line(a, b, weight="bar", dash="property", layer="property line")
    if lot.given["north"] is not None:
        d.text((right, high, -6, -15), "property line", size=12, anchor="end", routed=True, blank=True)


def _edges(d: Drawing, lot: Lot) -> None:
    """Distances from the tower to the lines, in a chain along the north and the east edge."""
    across, down = lot.given["west"], lot.given["east"]
    if across or down:
        d.line((0, 0), (0, lot.high), weight="thin", dash="axis", layer="axis")
    if lot.given["north"] or lot.given["south"]:
        d.line((0, 0), (lot.right, 0), weight="thin", dash="axis", layer="axis")
    for distance, a, b in (
        (across, (lot.left, lot.high), (0, lot.high)),
        (down, (0, lot.high), (lot.right, lot.high)),
    ):
        if distance:
            d.dimension(a, b, off_px=22, along="horizontal", text=f"{readable(distance)} ft", size=13)
    for side, a, b in (
        ("north", (lot.right, 0), (lot.right, lot.high)),
        ("south", (lot.right, lot.low), (lot.right, 0)),
    ):
        distance = lot.given[side]
        if distance:
            d.dimension(a, b, off_px=26, along="vertical", text=f"{readable(distance)} ft", size=13)


def _circles(d: Drawing, facts: SiteFacts | None, free: Iterator[float], balloons: bool) -> None:
    """Setback and fall circle, named where nothing else stands."""
    if facts is None:
        return
    if facts.setback_ft:
        d.circle((0, 0), facts.setback_ft, weight="medium", dash="limit", layer="setback")
        _named(d, facts.setback_ft, free, f"setback circle,\n{readable(round(facts.setback_ft, 1))} ft")
    if not facts.setback_ft or abs(facts.setback_ft - facts.tip_ft) > 0.02 * facts.tip_ft:
        d.circle((0, 0), facts.tip_ft, weight="thin", dash="tentative", layer="fall")
        _named(d, facts.tip_ft, free, f"fall circle, blade\ntip {readable(round(facts.tip_ft, 1))} ft")
    if balloons:
        radius = facts.setback_ft or facts.tip_ft
        _numbered(d, BALLOONS["datum"], ((in_plan(b, radius), in_plan(b, 34.0)) for b in islice(free, TRIED)))


def _named(d: Drawing, radius: float, free: Iterator[float], words: str) -> None:
    def way(bearing: float) -> Way:
        right, up = in_plan(bearing, 44.0)
        tip = in_plan(bearing, radius)
        return lambda d: d.leader(tip, (*tip, right, up), words, size=12)

    place_free(d, (way(bearing) for bearing in islice(free, TRIED)))


def _numbered(d: Drawing, number: int, places: Iterable[tuple[Point, Point]]) -> None:
    """A balloon at the first of these (tip, its way from there in px) that is free."""

    def way(tip: Point, off: Point) -> Way:
        return lambda d: d.balloon((*tip, *off), number, tip=tip)

    place_free(d, (way(tip, off) for tip, off in places))


def _round(tip: Point, off: Point) -> Iterator[tuple[Point, Point]]:
    """The same place and others round it, as far from it."""
    first, far = math.atan2(off[1], off[0]), math.hypot(*off)
    for turn in (0, 30, -30, 60, -60, 90, -90, 135, -135, 180):
        angle = first + math.radians(turn)
        yield tip, (far * math.cos(angle), far * math.sin(angle))


def free_bearings(taken: Sequence[float]) -> Iterator[float]:
    """Bearings for notes, each as far as can be from what is taken and from those before."""
    kept = [*taken, 0.0, 90.0]
    while True:
        best = max(range(15, 360, 15), key=lambda c: min(_apart(c, t) for t in kept))
        kept.append(float(best))
        yield float(best)


def _apart(a: float, b: float) -> float:
    off = abs(a - b) % 360
    return min(off, 360 - off)


def _pad(d: Drawing, figures: SiteFigures) -> None:
    bearing, distance, side = (getattr(figures, n) for n in ("pad_bearing_deg", "pad_distance_ft", "pad_ft"))
    if bearing is None or distance is None or side is None:
        return
    x, y = in_plan(bearing, distance)
    d.rectangle(x - side / 2, y - side / 2, side, side, weight="medium", dash="tentative", layer="crane pad")

    def way(east: int, north: int) -> Way:
        tip = (x + east * side / 2, y + north * side / 2)
        return lambda d: d.leader(tip, (*tip, east * 30, north * 22), f"crane pad {side:g} ft", size=12)

    place_free(d, (way(*ways) for ways in ((1, -1), (1, 1), (-1, -1), (-1, 1))))


def _trench_named(d: Drawing, figures: SiteFigures) -> None:
    """What is dug, with its length, beside its longest stretch."""
    length = trench_length_ft(figures.trench)
    if not length:
        return
    points = trench_points(figures.trench)
    a, b = max(pairwise(points), key=lambda ends: math.dist(*ends))

    def way(share: float, east: float, north: float) -> Way:
        tip = (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)
        return lambda d: d.leader(tip, (*tip, east, north), f"trench, {readable(round(length))} ft", size=12)

    reach = ((38, -12), (-38, -12), (38, 20), (-38, 20), (70, -30), (-70, -30))
    place_free(d, (way(share, *each) for each, share in product(reach, SHARES)))


def _distances(d: Drawing, view: View) -> None:
    """From the tower to what stands near."""
    for thing in view.inside:
        # nearer than an inch it stands at the tower
        if thing.at is not None and thing.distance_ft >= 1 / 12:
            place_free(d, (_distance(thing.at, thing.distance_ft, *each) for each in product(BESIDE, SHARES)))


def _distance(at: Point, feet: float, off: float, share: float) -> Way:
    said = f"{readable(feet)} ft"
    return lambda d: d.dimension((0, 0), at, off_px=off, text=said, size=12, share=share)


def _labels(d: Drawing, view: View) -> None:
    """Names of what stands near, on the side away from the tower."""
    for thing in view.inside:
        if thing.at is None:
            continue
        words = (
            thing.short if thing.height_ft is None else f"{thing.short}, {readable(thing.height_ft)} ft high"
        )
        place, anchor = _label_at(thing, view)
        ways = [_label(words, *each) for each in _nearby(place, anchor)]
        if thing.kind in ("building", "dwelling"):
            for said in (words, words.replace(", ", ",\n")):
                ways += [_label(said, *each) for each in _round_building(thing, said.count("\n"))]
        place_free(d, ways)


def _label(words: str, place: Point, anchor: str) -> Way:
    return lambda d: d.text(place, words, size=12, anchor=anchor, blank=True)


def _nearby(place: Point, anchor: str) -> Iterator[tuple[Point, str]]:
    """The place itself, then above and below it, then to its other side."""
    x, y = place[:2]
    right, up = (*place, 0.0, 0.0)[2:4]
    for side, way in ((anchor, 0), (anchor, 24), ({"start": "end", "end": "start"}[anchor], 0)):
        off = way if anchor == "start" else -way
        for step in (0, 15, -15, 30, -30, 45, -45, 60, -60):
            yield (x, y, right + off, up + step), side


def _round_building(thing: Standing, more: int) -> Iterator[tuple[Point, str]]:
    """Under a building, over it, and on either side of it, for words of one line and so many ``more``."""
    left, low, right, high = building_box(thing)
    for share, anchor in ((0.5, "middle"), (0.0, "start"), (1.0, "end")):
        x = left + (right - left) * share
        yield (x, low, 0, -15), anchor
        yield (x, high, 0, 7 + 15 * more), anchor
    middle = (low + high) / 2
    yield (left, middle, -6, 7 * more - 4), "end"
    yield (right, middle, 6, 7 * more - 4), "start"


def _label_at(thing: Standing, view: View) -> tuple[Point, str]:
    west, _south, _east, north = view.box
    x, y = thing.at or (0.0, 0.0)
    width = thing.width_ft or 30.0
    if thing.kind in ("road", "overhead line"):
        # at an end of its run inside the sheet
        if abs(x) >= abs(y):
            return (x, north, 8 if x <= 0 else -8, -34), "start" if x <= 0 else "end"
        return (west, y, 90, 8 if y >= 0 else -17), "start"
    if thing.kind == "trees":
        beyond = in_plan(thing.bearing_deg or 0.0, thing.distance_ft + 24.0)
        return (*beyond, -6 if x < 0 else 6, 4 if y > 0 else -14), "end" if x < 0 else "start"
    deep = 0.3 * width
    return (x - width if x < 0 else x + width, y + (deep if y > 0 else -deep), -6 if x < 0 else 6, -4), (
        "end" if x < 0 else "start"
    )


def _balloons(d: Drawing, figures: SiteFigures, lot: Lot, view: View) -> None:
    _numbered(d, BALLOONS["north_ft"], _round((lot.right, lot.high), (26.0, 22.0)))
    solid = [t for t in view.inside if t.at is not None and t.kind not in ("road", "overhead line")]
    if solid and solid[0].at is not None and solid[0].bearing_deg is not None:
        _numbered(d, BALLOONS["things"], _round(solid[0].at, in_plan(solid[0].bearing_deg + 140, 46)))
    else:
        _numbered(d, BALLOONS["things"], _round((lot.left, lot.low), (20.0, 20.0)))
    points = trench_points(figures.trench)
    if len(points) > 1:
        (ax, ay), (bx, by) = points[-2:]
        middle = ((ax + bx) / 2, (ay + by) / 2)
        _numbered(d, BALLOONS["trench"], _round(middle, (-16.0, 34.0)))
    if figures.pad_bearing_deg is not None and figures.pad_distance_ft is not None:
        at = in_plan(figures.pad_bearing_deg, figures.pad_distance_ft)
        _numbered(d, BALLOONS["access"], _round(at, (12.0, -44.0)))


def _furniture(d: Drawing, view: View) -> None:
    west, south, east, _north = view.box
    d.north_arrow((east, south, 62, 4))
    off = [
        f"{t.short}, {readable(t.distance_ft)} ft off"
        + ("" if t.bearing_deg is None else f", bearing {t.bearing_deg:g} deg")
        for t in view.outside
    ]
    note = "distances from the center of the tower’s base"
    d.drawing_title((west, south, 0, -34), "Site plan", note)
    d.scale_bar((west, south, 4, -72))
    if off:
        d.text((west, south, 0, -104), "\n".join(["Not drawn:", *off]), size=12)
