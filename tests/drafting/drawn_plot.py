"""What stands in a drawn chart, read back in the figures of its own scales: by its ticks alone."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree

Pair = tuple[float, float]
_SVG = "{http://www.w3.org/2000/svg}"
_TO = "{http://www.w3.org/1999/xlink}href"


class Reading:
    """Lines, dots and words of a chart, in the figures that its ticks name."""

    def __init__(self, svg: str) -> None:
        self.root = ElementTree.fromstring(svg)
        scale = self._layer("scale")[0]
        grown = float(scale.attrib["transform"].removeprefix("scale(").removesuffix(")"))
        ticks: dict[str, list[tuple[float, float]]] = {"middle": [], "end": []}
        for tick in scale.iter(f"{_SVG}g"):
            parts = [*tick]
            # a mark and its word: two ticks are no tick
            if len(parts) != 2 or next(parts[0].iter(f"{_SVG}text"), None) is not None:
                continue
            mark, word = (
                next(part.iter(f"{_SVG}{tag}"), None)
                for part, tag in zip(parts, ("use", "text"), strict=True)
            )
            if (
                mark is None
                or word is None
                or not (word.text or "").replace(",", "").replace(".", "").isdigit()
            ):
                continue
            anchor = word.attrib["text-anchor"]
            at = grown * float(mark.attrib["x" if anchor == "middle" else "y"])
            ticks[anchor].append((at, float((word.text or "").replace(",", ""))))
        self._x, self._y = _line(ticks["middle"]), _line(ticks["end"])

    def _layer(self, name: str) -> list[Any]:
        return [g for g in self.root.iter(f"{_SVG}g") if g.get("class") == f"layer-{name}"]

    def at(self, x_px: float, y_px: float) -> Pair:
        return self._x(x_px), self._y(y_px)

    def lines(self, layer: str) -> list[list[Pair]]:
        found = []
        for group in self._layer(layer):
            for tag in ("polyline", "polygon"):
                for line in group.iter(f"{_SVG}{tag}"):
                    pairs = (pair.split(",") for pair in line.attrib["points"].split())
                    found.append([self.at(float(x), float(y)) for x, y in pairs])
        return found

    def dots(self, layer: str) -> list[Pair]:
        return [
            self.at(float(dot.attrib["cx"]), float(dot.attrib["cy"]))
            for group in self._layer(layer)
            for dot in group.iter(f"{_SVG}circle")
        ]

    @property
    def words(self) -> str:
        return " ".join(word.text or "" for word in self.root.iter(f"{_SVG}text"))

    @property
    def told(self) -> str:
        """What a screen reader says."""
        return " ".join(self.root.findtext(f"{_SVG}{tag}") or "" for tag in ("title", "desc"))

    def rings(self) -> list[Pair]:
        """The middle of each crayon ring."""
        strands = [point for line in self.lines("ring") for point in line]
        if not strands:
            return []
        xs, ys = zip(*strands, strict=True)
        return [((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)]


def _line(ticks: list[tuple[float, float]]) -> Any:
    if len({at for at, _ in ticks}) < 2:
        return lambda px: px  # names, no numbers: px as they are
    (a, at_a), (b, at_b) = ticks[0], ticks[-1]
    return lambda px: at_a + (px - a) * (at_b - at_a) / (b - a)
