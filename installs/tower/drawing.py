"""The tower's drawings: elevation to scale with sections and joints, and its frequency against the rotor."""

from __future__ import annotations

from typing import Any

from installs.drafting import Drawing, to_svg
from installs.tower.facts import JointFacts, SectionFacts, TowerFacts
from installs.tower.frequency_drawing import both_svgs
from installs.tower.joint_drawing import joint_svg, legend_svg
from sitecalc.figures import by_balloon
from sitecalc.tower.figures import TowerFigures

BALLOONS = by_balloon(TowerFigures)

TALLEST_PX = 720.0
FEET_PER_INCH = (4, 5, 6, 8, 10, 12, 15, 16, 20, 25, 30, 40, 50, 60, 80, 100)


def draw(draft: Any, review: Any) -> dict[str, str]:
    """SVG by name for the design page; nothing while there is no review."""
    if not review:
        return {}
    facts: TowerFacts = review.results
    swing = both_svgs(facts, draft.figures, review.checks) if facts.frequency is not None else {}
    return {**drawings(facts), **swing}


def drawings(facts: TowerFacts, *, balloons: bool = True, for_print: bool = False) -> dict[str, str]:
    """ "elevation" and, of the joint with most bolts, "joint" and "legend"."""
    found = {"elevation": to_svg(elevation(facts, balloons=balloons), for_print=for_print)}
    if facts.joints:
        largest = max(facts.joints, key=lambda j: len(j.bolts))
        found["legend"] = legend_svg(largest, for_print=for_print)
        found["joint"] = joint_svg(largest, for_print=for_print)
    return found


def scale_ft_per_inch(height_ft: float, tallest_px: float = TALLEST_PX) -> int:
    """The round scale at which the height fits."""
    return next((n for n in FEET_PER_INCH if height_ft * 96 / n <= tallest_px), FEET_PER_INCH[-1])


def elevation(facts: TowerFacts, *, balloons: bool = True, tallest_px: float = TALLEST_PX) -> Drawing:
    """Front view: sections S1.. and joints J1.. in balloons, heights, spacing, center of gravity, head.

    With ``balloons`` also the numbers of the schedule of inputs.
    """
    radius = (facts.head.rotor_diameter_ft or 0.0) / 2 if facts.head else 0.0
    per_inch = scale_ft_per_inch(facts.height_ft + radius, tallest_px)
    d = Drawing("Elevation of the tower", px_per_ft=96 / per_inch)
    half = facts.leg_spacing_ft / 2
    _ground(d, half)
    for section in facts.sections:
        tower_section(d, facts, section)
    _head(d, facts, radius)
    _heights(d, facts)
    for section in facts.sections:
        _section_balloon(d, section)
    for joint in facts.joints:
        _joint_note(d, facts, joint)
    _center(d, facts)
    if facts.frequency is not None:
        _first_mode(d, facts)
    _foot(d, facts)
    if balloons:
        _schedule_balloons(d, facts)
    d.drawing_title((-half, 0, -88, -146), "Elevation", f"1 in = {per_inch} ft on paper")
    d.scale_bar((-half, 0, -88, -186), 10 if facts.height_ft > 30 else 5, 4)
    return d


def tower_section(d: Drawing, facts: TowerFacts, section: SectionFacts) -> None:
    """One section standing; in a lying drawing the whole is turned."""
    bottom, top = section.bottom_in / 24, section.top_in / 24
    low, high = section.bottom_ft, section.top_ft
    for side in (-1, 1):
        d.line((side * bottom, low), (side * top, high), weight="bar", layer="tower")
    if not facts.legs:
        d.line((-top, high), (top, high), layer="tower")
        return
    count = bays(section)
    for n in range(count):
        a, b = n / count, (n + 1) / count
        wa, wb = bottom + (top - bottom) * a, bottom + (top - bottom) * b
        za, zb = low + section.length_ft * a, low + section.length_ft * b
        d.line((-wa, za), (wb, zb), weight="hatch", layer="tower")
        d.line((wa, za), (-wb, zb), weight="hatch", layer="tower")
        d.line((-wb, zb), (wb, zb), weight="hatch", layer="tower")


def bays(section: SectionFacts) -> int:
    """Panels drawn in a section: about as high as it is wide, never so many that they run together."""
    width = (section.bottom_in + section.top_in) / 24
    return max(2, min(8, round(section.length_ft / max(width, 1.0))))


def _ground(d: Drawing, half: float) -> None:
    d.line((-half, 0, -90, 0), (half, 0, 90, 0), weight="heavy", layer="ground")
    corners = [(-half, 0, -90, -2), (half, 0, 90, -2), (half, 0, 90, -16), (-half, 0, -90, -16)]
    d.hatch("earth", corners)


def _head(d: Drawing, facts: TowerFacts, radius: float) -> None:
    if facts.head is None:
        d.text((0, facts.height_ft, 8, 12), "turbine not given", layer="note")
        return
    hub = facts.height_ft + facts.head.hub_above_top_ft
    if radius:
        d.circle((0, hub), radius, weight="medium", dash="tentative", layer="rotor")
        d.dimension((0, hub), (radius, hub), off_px=0, along="horizontal", text=f"{radius:.4g} ft")
    d.circle((0, hub), 0.0, radius_px=4, weight="bar", fill="blank", layer="turbine")
    d.line((0, facts.height_ft), (0, hub, 0, -4), weight="bar", layer="turbine")
    d.text((0, hub, -10, 8), "hub", anchor="end", layer="note")


def _heights(d: Drawing, facts: TowerFacts) -> None:
    """Sections on the inner line, the whole outside it."""
    half = facts.leg_spacing_ft / 2
    for section in facts.sections:
        low, high = section.bottom_in / 24, section.top_in / 24
        # the dimension line stands plumb, whatever the tower's batter
        off = -60 - (half - low) * d.px_per_ft
        # short ones say feet alone, so that the figures do not run into each other
        short = None if section.length_ft * d.px_per_ft >= 96 else f"{section.length_ft:.4g} ft"
        ends = (-low, section.bottom_ft), (-high, section.top_ft)
        d.dimension(*ends, off_px=off, along="vertical", text=short)
    if len(facts.sections) > 1:
        d.dimension((-half, 0), (-half, facts.height_ft), off_px=-88, along="vertical")


def _section_balloon(d: Drawing, section: SectionFacts) -> None:
    middle = (section.bottom_ft + section.top_ft) / 2
    width = (section.bottom_in + section.top_in) / 48
    d.balloon((-width, middle, -26, 0), f"S{section.number}", tip=(-width, middle))


def _joint_note(d: Drawing, facts: TowerFacts, joint: JointFacts) -> None:
    width = facts.sections[joint.number - 1].top_in / 24
    half = facts.leg_spacing_ft / 2
    for side in (-1, 1):
        d.line(
            (side * width, joint.at_ft, 0, -4),
            (side * width, joint.at_ft, 0, 4),
            weight="over",
            layer="joint",
        )
    d.balloon((half, joint.at_ft, 46, 0), f"J{joint.number}", tip=(width, joint.at_ft))
    bolts = f"{len(joint.bolts)} bolts, {size_words(joint.size)} {joint.grade}"
    d.text((half, joint.at_ft, 64, 2), f"{bolts}\n{joint.last_pass.words}", size=12, layer="note")


def size_words(size: str) -> str:
    """ "3/4 in", "M20"."""
    return size if size.startswith("M") else f"{size} in"


def _center(d: Drawing, facts: TowerFacts) -> None:
    at = facts.center_ft
    d.circle((0, at), radius_px=5, weight="medium", fill="blank", layer="center of gravity")
    d.center_mark((0, at), 0, 9)
    half = facts.leg_spacing_ft / 2
    words = f"center of gravity\n{at:.1f} ft up, {facts.weight_lb:,.0f} lb"
    # beside the joints' notes: at the middle of its section where a joint is near
    near = any(abs(at - j.at_ft) * d.px_per_ft < 34 for j in facts.joints)
    inside = next((s for s in facts.sections if s.bottom_ft <= at <= s.top_ft), facts.sections[0])
    level = (inside.bottom_ft + inside.top_ft) / 2 if near else at
    d.leader((0, at, 5, 0), (half, level, 46, 8 if near else 0), words, size=12)


def _first_mode(d: Drawing, facts: TowerFacts) -> None:
    """How the tower leans in its first mode, much enlarged."""
    found = facts.frequency
    if found is None or not any(s.lean for s in found.shape):
        return
    reach = 34.0
    points: list[Any] = [(0, s.height_ft, reach * s.lean, 0) for s in found.shape]
    d.polyline(points, weight="medium", dash="limit", layer="first mode")
    d.text(
        (0, facts.height_ft, reach + 5, -12), f"{found.first_hz:.3g} Hz", size=12, layer="note", blank=True
    )


def _foot(d: Drawing, facts: TowerFacts) -> None:
    half = facts.leg_spacing_ft / 2
    d.dimension((-half, 0), (half, 0), off_px=-40, along="horizontal")
    found = facts.reactions
    if found is None:
        d.text((half, 0, 24, -64), "base reactions not given", size=12, layer="note")
        return
    words = f"{found.moment_kip_ft:,.4g} kip-ft, {found.shear_kip:,.4g} kip\n{found.kind}"
    if found.pull_kip is not None:
        words += f"\na leg: uplift {found.pull_kip:,.3g}, compression {found.push_kip:,.3g} kip"
    d.text((half, 0, 24, -64), words, size=12, layer="note")


def _schedule_balloons(d: Drawing, facts: TowerFacts) -> None:
    """Where the schedule's numbers lie on the drawing; see balloons.py."""
    half = facts.leg_spacing_ft / 2
    first = facts.sections[0]
    d.balloon((-half, first.top_ft, -112, 0), BALLOONS["sections"], tip=(-half, first.top_ft, -60, 0))
    if facts.joints:
        last = facts.joints[-1]
        d.balloon((half, last.at_ft, 46, 34), BALLOONS["joints"], tip=(half, last.at_ft, 46, 11))
    d.balloon((half, 0, 4, -60), BALLOONS["moment_kip_ft"])
    d.balloon((-half, 0, -30, -40), BALLOONS["anchor_bolts"], tip=(-half, 0, -1, -3))
