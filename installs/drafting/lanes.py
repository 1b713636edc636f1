"""Notes side by side in one row, so that none overlaps and no two leaders cross."""

from __future__ import annotations

from collections.abc import Sequence


def spread(wanted: Sequence[float], width: float, least: float, most: float) -> list[float]:
    """Where notes ``width`` wide begin that would begin at ``wanted`` (ascending), as near to it as they can.

    Between ``least`` and ``most`` where they fit there; where they do not they run on past ``most``.
    """
    places: list[float] = []
    for x in wanted:
        places.append(max(x, least if not places else places[-1] + width))
    limit = max(most, least + width * len(places))
    for place in reversed(range(len(places))):
        limit -= width
        places[place] = min(places[place], limit)
        limit = places[place]
    return places
