"""Tower bolts and nuts of a released tower, for the material list."""

from __future__ import annotations

from collections import Counter
from typing import Any

from installs.jobs.material_lines import Line
from installs.tower.drawing import size_words
from installs.tower.facts import JointFacts, released_facts

# dropped in the grass, and bolts that failed: a share, and never less than two
SPARE_SHARE, SPARE_LEAST = 0.05, 2


def lines(revision: Any) -> list[Line]:
    """Sections and, by size and grade, bolts with nut and washers and the spares beside them."""
    facts = released_facts(revision)
    found = []
    for s in facts.sections:
        made = f"{s.length_ft:g} ft, {s.bottom_in:g} in to {s.top_in:g} in, {s.weight_lb:,.0f} lb"
        good = f"Tower section, {made}"
        found.append(Line("tower assembly", f"Tower section S{s.number}", made, 1, "piece", good=good))
    for (size, grade), count in sorted(bolts_by_size(facts.joints).items()):
        spare = max(SPARE_LEAST, round(SPARE_SHARE * count))
        where = ", ".join(f"J{j.number}" for j in facts.joints if (j.size, j.grade) == (size, grade))
        for what in ("bolts", "nuts", "washers"):
            kind = f"{size_words(size)}, {grade}"
            good, detail = f"Tower {what}, {kind}", f"{kind}, joints {where}"
            found.append(Line("tower assembly", f"Tower {what}", detail, count, "each", spare, good))
    return found


def bolts_by_size(joints: tuple[JointFacts, ...]) -> Counter[tuple[str, str]]:
    """How many bolts of each (size, grade)."""
    count: Counter[tuple[str, str]] = Counter()
    for joint in joints:
        count[joint.size, joint.grade] += len(joint.bolts)
    return count
