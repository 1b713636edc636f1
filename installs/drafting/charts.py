"""A matplotlib figure as SVG with the manners of our drawings: presentation attributes, ink, our letters.

    figure, axes = chart(6.4, 2.0)
    axes.plot(days, temperatures, color=INK)
    svg = chart_svg(figure, "Concrete temperature")

Colors INK, PENCIL and CRAYON follow the page's scheme.
"""

from __future__ import annotations

import io
import re
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree

from .letters import NOTE, OVERPASS

if TYPE_CHECKING:
    from matplotlib.figure import Figure

INK = "#1b2227"
PENCIL = "#474f54"
CRAYON = "#9a2112"
BLANK = "#ffffff"
# of a text that may meet a line: the ground under it is cleared, as a drafter leaves the line out there
CLEAR: dict[str, Any] = {"bbox": {"facecolor": BLANK, "edgecolor": "none", "pad": 1.0}}
_SVG = "http://www.w3.org/2000/svg"
_RECOLORED = {INK: "currentColor", "#000000": "currentColor", PENCIL: PENCIL.upper(), CRAYON: CRAYON.upper()}
_CLASSES = {PENCIL: "pencil", CRAYON: "crayon", BLANK: "blank"}
_KEPT = (
    "fill", "fill-opacity", "fill-rule", "opacity", "stroke", "stroke-dasharray", "stroke-dashoffset",
    "stroke-linecap", "stroke-linejoin", "stroke-miterlimit", "stroke-opacity", "stroke-width",
    "text-anchor",
)  # fmt: skip
_STYLE: dict[Any, Any] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "mastwright",
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "axes.linewidth": 0.5,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "lines.linewidth": 1.0,
    "text.color": INK,
    "xtick.color": INK,
    "ytick.color": INK,
    "xtick.major.width": 0.5,
    "ytick.major.width": 0.5,
    "font.size": NOTE * 0.75,
    "figure.facecolor": "none",
    "axes.facecolor": "none",
    "savefig.facecolor": "none",
    "legend.frameon": False,
}


def chart(width_in: float, height_in: float, rows: int = 1, **how: Any) -> tuple[Figure, Any]:
    """A figure in our line weights with its axes (``rows`` of them, further arguments to ``subplots``).

    Inches on paper, 96 px an inch on screen.
    """
    import matplotlib
    from matplotlib.figure import Figure

    with matplotlib.rc_context(_STYLE):
        figure = Figure(figsize=(width_in, height_in), layout="constrained")
        return figure, figure.subplots(rows, **how)


def bare(width_in: float, height_in: float) -> tuple[Figure, Any]:
    """As :func:`chart`, one field whose place on the sheet its caller sets."""
    import matplotlib
    from matplotlib.figure import Figure

    with matplotlib.rc_context(_STYLE):
        figure = Figure(figsize=(width_in, height_in))
        return figure, figure.add_axes((0.0, 0.0, 1.0, 1.0))


def chart_svg(figure: Figure, title: str) -> str:
    """The figure as one ``<svg>`` without style attributes, scripts, dates or metadata."""
    import matplotlib

    stream = io.StringIO()
    # the salt makes the ids of this chart's tick marks its own
    with matplotlib.rc_context({**_STYLE, "svg.hashsalt": f"mastwright {title}"}):
        figure.savefig(stream, format="svg", metadata={"Date": None, "Creator": None})
    return cleaned(stream.getvalue(), title)


def cleaned(svg: str, title: str) -> str:
    """Any SVG text with its style attributes turned into presentation attributes."""
    ElementTree.register_namespace("", _SVG)
    ElementTree.register_namespace("xlink", "http://www.w3.org/1999/xlink")
    root = ElementTree.fromstring(svg)
    for parent in list(root.iter()):
        for child in list(parent):
            if child.tag.split("}")[-1] in ("metadata", "style", "script", "title"):
                parent.remove(child)
    for element in root.iter():
        _present(element)
    _only_ids_in_use(root)
    _in_px(root)
    root.set("class", "drawing chart")
    root.set("role", "img")
    root.set("aria-label", title)
    told = ElementTree.Element(f"{{{_SVG}}}title")
    told.text = title
    root.insert(0, told)
    return ElementTree.tostring(root, encoding="unicode")


def _only_ids_in_use(root: ElementTree.Element) -> None:
    """Every chart numbers its parts alike; two on one page must not share an id."""
    text = ElementTree.tostring(root, encoding="unicode")
    used = set(re.findall(r"#([A-Za-z][\w.-]*)", text))
    for element in root.iter():
        if element.get("id") not in used:
            element.attrib.pop("id", None)


def _present(element: ElementTree.Element) -> None:
    pairs = (part.partition(":") for part in element.attrib.pop("style", "").split(";"))
    style = {name.strip(): value.strip() for name, _colon, value in pairs if name.strip()}
    if element.tag.endswith("}text"):
        _letter(element, style)
    for name in _KEPT:
        if name in style:
            element.set(name, style[name])
    for name in ("fill", "stroke"):
        color = element.get(name, "").lower()
        if color in _CLASSES:
            element.set("class", _CLASSES[color])
        if color in _RECOLORED:
            element.set(name, _RECOLORED[color])
    if element.tag.endswith("}text") and element.get("fill") is None:
        element.set("fill", "currentColor")


def _letter(element: ElementTree.Element, style: dict[str, str]) -> None:
    """matplotlib puts size and family into one "font" shorthand."""
    size = re.search(r"([0-9.]+)px", style.pop("font", "") + " " + style.get("font-size", ""))
    element.set("font-family", OVERPASS)
    element.set("font-size", size[1] if size else f"{NOTE * 0.75:g}")


def _in_px(root: ElementTree.Element) -> None:
    """matplotlib counts points, 72 an inch; the page counts 96."""
    for name in ("width", "height"):
        points = float(root.get(name, "0pt").removesuffix("pt"))
        root.set(name, f"{points * 96 / 72:.6g}")
