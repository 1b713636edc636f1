"""Heights by distance: tower and rotor, what stands near turned to one side, the clearance kept."""

from __future__ import annotations

from installs.drafting import Drawing
from installs.drafting.letters import text_width
from installs.site.facts import SiteFacts, Standing, standing_things
from sitecalc.checks import readable
from sitecalc.figures import by_balloon
from sitecalc.site.figures import SiteFigures

BALLOONS = by_balloon(SiteFigures)

FEET_PER_INCH = (10, 15, 20, 30, 40, 50, 60, 80, 100, 120, 150, 200, 300, 400, 500)


def clearance_view(
    figures: SiteFigures, facts: SiteFacts, *, width_px: float = 690.0, balloons: bool = True
) -> Drawing:
    """One scale both ways. Obstacles beyond the counted distance are left out."""
    radius = figures.obstacle_radius_ft
    near = [t for t in standing_things(figures.things) if t.kind != "road" and t.distance_ft <= radius]
    per_inch = next(
        (n for n in FEET_PER_INCH if (radius + facts.rotor_diameter_ft) * 96 / n <= width_px - 90),
        FEET_PER_INCH[-1],
    )
    d = Drawing("Clearance over what stands near", px_per_ft=96 / per_inch)
    left = -facts.rotor_diameter_ft * 0.75
    d.line((left, 0), (radius, 0), weight="heavy", layer="ground")
    d.hatch("earth", [(left, 0, 0, -2), (radius, 0, 0, -2), (radius, 0, 0, -14), (left, 0, 0, -14)])
    _tower(d, facts)
    used: list[tuple[float, float, float]] = []
    for thing in sorted(near, key=lambda t: t.distance_ft):
        _obstacle(d, figures, thing, used)
    _needed(d, figures, facts, near, radius)
    _heights(d, figures, facts, left)
    if balloons:
        d.balloon((radius, _needed_ft(figures, near), 20, 0), BALLOONS["clearance_ft"])
    title = f"what stands within {readable(radius)} ft, turned to one side"
    d.drawing_title((left, 0, 0, -44), "Clearance", title)
    d.scale_bar((left, 0, 4, -82))
    return d


def _tower(d: Drawing, facts: SiteFacts) -> None:
    d.line((0, 0), (0, facts.hub_ft), weight="heavy", layer="tower")
    d.line((0, facts.blade_bottom_ft), (0, facts.tip_ft), weight="bar", layer="rotor")
    d.circle((0, facts.hub_ft), facts.rotor_diameter_ft / 2, weight="thin", dash="limit", layer="rotor")
    d.circle((0, facts.hub_ft), radius_px=3, weight="medium", fill="blank", layer="rotor")


def _obstacle(
    d: Drawing, figures: SiteFigures, thing: Standing, used: list[tuple[float, float, float]]
) -> None:
    """``used``: left, right and foot in px of the names written so far, so that none runs into another."""
    width = 24.0 if thing.kind in ("dwelling", "building", "trees") else 6.0
    x, ground = thing.distance_ft, thing.ground_ft
    if thing.height_ft is None:
        _name(d, (x, max(ground, 0.0)), f"{thing.short}: height not given", used)
        return
    top = ground + thing.height_ft
    d.rectangle(x, ground, width, thing.height_ft, weight="bar", layer="building", fill="blank")
    growth = figures.growth_ft if thing.kind == "trees" else 0.0
    if growth:
        d.rectangle(x, top, width, growth, weight="thin", dash="tentative", layer="trees")
    _name(d, (x + width / 2, top + growth), thing.short, used)


def _name(d: Drawing, at: tuple[float, float], words: str, used: list[tuple[float, float, float]]) -> None:
    """Over the thing, as high up as is free."""
    half = text_width(words, 12) / 2 + 6
    center, foot = at[0] * d.px_per_ft, at[1] * d.px_per_ft
    up = 5.0
    while any(
        left < center + half and center - half < right and abs(foot + up - y) < 15 for left, right, y in used
    ):
        up += 5.0
    used.append((center - half, center + half, foot + up))
    if up > 5:
        d.line((*at, 0, 1), (*at, 0, up - 2), weight="thin", layer="note")
    d.text((*at, 0, up), words, size=12, anchor="middle", blank=True)


def _needed_ft(figures: SiteFigures, near: list[Standing]) -> float:
    tops = [
        t.height_ft + t.ground_ft + (figures.growth_ft if t.kind == "trees" else 0.0)
        for t in near
        if t.height_ft is not None
    ]
    clearance: float = figures.clearance_ft
    return max(0.0, *tops, 0.0) + clearance


def _needed(d: Drawing, figures: SiteFigures, facts: SiteFacts, near: list[Standing], radius: float) -> None:
    needed = _needed_ft(figures, near)
    d.line((0, needed), (radius, needed), weight="medium", dash="limit", layer="clearance")
    words = f"{figures.clearance_datum} at least {readable(round(needed, 1))} ft"
    beside = any(abs(height - needed) * d.px_per_ft < 24 for height in (facts.hub_ft, facts.tip_ft))
    if beside:  # the words of the machine's own heights stand there: over the far end of the line
        d.text((radius, needed, 0, 6), words, size=12, anchor="end", blank=True)
    else:
        d.text((0, needed, 26, 6), words, size=12, blank=True)


def _heights(d: Drawing, figures: SiteFigures, facts: SiteFacts, left: float) -> None:
    by_hub = figures.clearance_datum == "hub"
    kept = facts.hub_ft if by_hub else facts.blade_bottom_ft
    half = facts.rotor_diameter_ft / 2
    d.dimension(
        (-half, 0),
        (-half, kept),
        off_px=-20,
        along="vertical",
        text=f"{readable(round(kept, 1))} ft",
        size=12,
    )
    for height, words in (
        (facts.tip_ft, f"blade tip {readable(round(facts.tip_ft, 1))} ft"),
        (facts.hub_ft, f"hub {readable(round(facts.hub_ft, 1))} ft"),
    ):
        d.text((half, height, 10, -4), words, size=12)
