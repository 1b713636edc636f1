"""The drawing as a shop cut file (DXF R2010) in feet or inches, on layers of our own names."""

from __future__ import annotations

import io
import re
from typing import TYPE_CHECKING, Any

from .shapes import DASHES, WEIGHTS, Dots, Lettering, Pair, Round, Segments, Shape, Stroke

if TYPE_CHECKING:
    from .drawing import Drawing

UNITS = {"ft": (1.0, 2), "in": (12.0, 1)}  # per foot, and the code of DXF header variable $INSUNITS
# paper-sized things that a cutter must not follow
NEVER_CUT = ("text", "dimension", "note", "balloon", "hatch", "section", "crayon", "ring", "axis")


def layer_name(layer: str) -> str:
    """ "anchor bolt" -> "MASTWRIGHT-ANCHOR-BOLT"; only letters, figures and hyphens."""
    return "MASTWRIGHT-" + (re.sub(r"[^A-Z0-9]+", "-", layer.upper()).strip("-") or "OBJECT")


def to_dxf(drawing: Drawing, *, unit: str = "ft", cut_only: bool = False) -> bytes:
    """DXF text as bytes. ``unit`` "ft" or "in"; ``cut_only`` leaves out notes, dimensions and hatches."""
    from ezdxf._options import options
    from ezdxf.filemanagement import new

    try:
        per_foot, code = UNITS[unit]
    except KeyError:
        raise ValueError("a shop cut file is in ft or in") from None
    drawing.box()  # refuses NaN and an empty drawing
    options.write_fixed_meta_data_for_testing = True  # no clock in the file: same drawing, same bytes
    document = new("R2010", setup=True)
    document.header["$INSUNITS"] = code
    document.header["$MEASUREMENT"] = 0
    space, factor = document.modelspace(), per_foot / drawing.px_per_ft
    for layer, shape in drawing.shapes():
        if cut_only and layer in NEVER_CUT:
            continue
        name = layer_name(layer)
        if name not in document.layers:
            document.layers.add(name)
        _put(space, shape, factor, {"layer": name, **_pen(shape)})
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode("utf-8")


def _pen(shape: Shape) -> dict[str, Any]:
    pen = getattr(shape, "pen", None)
    if pen is None or not pen.weight:
        return {}
    attributes: dict[str, Any] = {"lineweight": _lineweight(WEIGHTS[pen.weight])}
    if DASHES[pen.dash]:
        attributes["linetype"] = {"14 3 3 3": "CENTER", "1 3": "DOT"}.get(DASHES[pen.dash], "DASHED")
    return attributes


def _lineweight(px: float) -> int:
    """The nearest of DXF's own line weights, hundredths of a millimeter."""
    allowed = (13, 18, 25, 30, 35, 50, 70, 100)
    wanted = px * 25.4 / 96 * 100
    return min(allowed, key=lambda value: abs(value - wanted))


def _put(space: Any, shape: Shape, factor: float, how: dict[str, Any]) -> None:
    def at(point: Pair) -> Pair:
        return point[0] * factor, -point[1] * factor

    if isinstance(shape, Stroke):
        space.add_lwpolyline([at(p) for p in shape.points], close=shape.closed, dxfattribs=how)
    elif isinstance(shape, Round):
        if shape.whole:
            space.add_circle(at(shape.center), shape.radius * factor, dxfattribs=how)
        else:
            space.add_arc(at(shape.center), shape.radius * factor, shape.start, shape.end, dxfattribs=how)
    elif isinstance(shape, Segments):
        for a, b in shape.pieces:
            space.add_line(at(a), at(b), dxfattribs=how)
    elif isinstance(shape, Dots):
        for point in shape.points:
            space.add_circle(at(point), shape.radius * factor, dxfattribs=how)
    else:
        _letter(space, shape, at(shape.at), factor, how)


def _letter(space: Any, shape: Lettering, at: Pair, factor: float, how: dict[str, Any]) -> None:
    from ezdxf.enums import TextEntityAlignment

    align = {
        "start": TextEntityAlignment.LEFT,
        "middle": TextEntityAlignment.CENTER,
        "end": TextEntityAlignment.RIGHT,
    }[shape.anchor]
    # DXF measures text by its capitals, about 0.7 of the type size
    text = space.add_text(shape.text, height=shape.size * 0.7 * factor, rotation=shape.turn, dxfattribs=how)
    text.set_placement(at, align=align)
