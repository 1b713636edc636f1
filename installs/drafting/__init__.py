"""Drafting: primitives in feet, rendered true to scale to SVG (page and paper) and DXF (shop).

    from installs.drafting import Drawing, to_dxf, to_svg

    d = Drawing("Plan at top of pad", px_per_ft=32)              # 96 px are an inch: 1 in = 3 ft
    d.rectangle(0, 0, 16.5, 16.5, weight="heavy", layer="concrete")
    d.hatch("earth", [(-1, -4), (17.5, -4), (17.5, -3), (-1, -3)])
    d.line((8.25, -0.5), (8.25, 17), weight="thin", dash="axis", layer="axis")
    d.dimension((0, 16.5), (16.5, 16.5), off_px=28, along="horizontal")   # says "16 ft 6 in"
    d.balloon((19, 12), 8, tip=(13.2, 12.4))                     # numbered circle with leader
    d.text((1, 14), "uplift: no soil contact here", blank=True)
    d.scale_bar((4, -2))
    svg, dxf = to_svg(d), to_dxf(d, unit="in")

Coordinates are (x_ft, y_ft), y up, or (x_ft, y_ft, right_px, up_px): a place in feet and a shift on the
paper, so that notes keep their distance at every scale. Geometry scales; text, line weights, hatches,
arrowheads and balloons do not. Names: weight "thin", "hatch", "medium", "bar", "heavy", "over"; dash "limit",
"property", "axis", "tentative", "hidden", "waiting"; ink "ink", "pencil", "crayon"; fill "ink", "blank",
"fold". Layers are free words ("concrete", "rebar", "anchor bolt", "tower"); they become a class on the page
("layer-rebar") and a layer in DXF ("MASTWRIGHT-REBAR").

Methods: line, polyline, polygon, rectangle, circle, arc, text, dimension, leader, balloon, hatch,
center_mark, section_arrow, north_arrow, scale_bar, break_line, drawing_title, crayon_loop,
crayon_underline, place (puts another Drawing in as a block, turned, grown or mirrored), add.

``to_svg(d, for_print=True)`` uses ink only, on white. ``marks`` has the small marks that carry the kind of
work, ``gauge`` the verdict gauge, ``charts`` turns a matplotlib figure into SVG of the same manners.
"""

from .drawing import Drawing, to_svg
from .dxf import to_dxf
from .letters import feet_and_inches, inches_alone

__all__ = ["Drawing", "feet_and_inches", "inches_alone", "to_dxf", "to_svg"]
