"""The kinds of deviation, in one table: who answers one, and which gate it holds until then.

A gate is held because what is behind it builds on what deviated: a tower on a cold joint. The engineer
answers what becomes of concrete; the office what was begun too early.
"""

from __future__ import annotations

from dataclasses import dataclass

from installs.jobs.phases import ON_THE_CARD, SITE, STARTABLE


@dataclass(frozen=True, kw_only=True)
class DeviationKind:
    """``title`` is what stands on the page, with the names of its blanks; ``holds`` a gate, or nothing.

    ``stops`` is the phase that nobody starts, goes on with or finishes until it is answered; SITE is all.
    """

    key: str
    title: str
    by_engineer: bool = False
    holds: str = ""
    stops: str = ""


# whoever saw it stopped the work; a named person of the office says when it goes on
WORK_STOPPED: dict[str, DeviationKind] = {
    stops: DeviationKind(key=f"stop work, {stops}", title="stop work by {who}: {what}", stops=stops)
    for stops in (SITE, *STARTABLE)
}

# what was begun through its closed gate, and the gate that asks for the answer
BEGUN_TOO_EARLY: dict[str, DeviationKind] = {
    begun: DeviationKind(
        key=f"{begun} too early",
        title="{begun} with its gate closed",
        by_engineer=begun == "pour",
        holds=holds,
    )
    for begun, holds in {
        "excavation": "pour",
        "pour": "tower lift",
        "ground station": "backfeed",
        "tower lift": "turbine lift",
        "turbine lift": "rotor up",
        "rotor up": "backfeed",
        "commissioning": "parallel for test",
        "backfeed": "parallel for test",
        "parallel for test": "operation",
        "operation": "",
    }.items()
}

# a reading beyond what the signed plan gives: while it stands it keeps its own lift's gate closed by itself;
# what comes after the lift waits for the answer
OVER_THE_CARD: dict[str, DeviationKind] = {
    lift: DeviationKind(key=f"{lift} over the card", title="{reading}, {stop}", holds=holds)
    for lift, holds in {"tower lift": "turbine lift", "turbine lift": "rotor up"}.items()
}

# an entry that a fault of ours left without judgement: what is built on its phase waits for a person
NOT_JUDGED: dict[str, DeviationKind] = {
    phase: DeviationKind(
        key=f"{phase} not judged",
        title="{entry}, entry {sequence}, not judged",
        by_engineer=phase in ("pour", "cure"),
        holds=holds,
    )
    for phase, holds in {
        **{begun: kind.holds for begun, kind in BEGUN_TOO_EARLY.items()},
        "cure": "tower lift",
        "tower assembly": "tower lift",
    }.items()
}
NOT_JUDGED_ELSEWHERE = DeviationKind(key="not judged", title="{entry}, entry {sequence}, not judged")

OTHER = DeviationKind(key="other", title="{title}")


def _concrete(key: str, title: str, *, by_engineer: bool = True) -> DeviationKind:
    return DeviationKind(key=key, title=title, by_engineer=by_engineer, holds="tower lift")


BY_CARD = _concrete("on the card", ON_THE_CARD, by_engineer=False)
NO_FOOTING = _concrete("no footing inspection", "poured without a footing inspection passed")
TRUCK_OVER = _concrete("truck over a limit", "truck {number} discharged over a limit")
TRUCK_UNDECIDED = _concrete("truck undecided", "truck {number} discharged before the engineer decided")
COLD_JOINT = _concrete("cold joint", "joint between trucks {first} and {second}")
FROZEN_GROUND = _concrete("frozen ground", "placed on frozen ground, form or steel")
THAW_UNKNOWN = _concrete("thaw unknown", "placed in the cold, thawing not on record")
POUR_STOPPED = _concrete("pour stopped", "pour stopped{at}")
FROZEN_CONCRETE = _concrete("frozen concrete", "{sensor} frozen on {day}")
LOW_BREAK = _concrete("low break", "low break of {day}, {cure}-cured")

KINDS: dict[str, DeviationKind] = {
    kind.key: kind
    for kind in (
        *BEGUN_TOO_EARLY.values(),
        *OVER_THE_CARD.values(),
        *WORK_STOPPED.values(),
        *NOT_JUDGED.values(),
        NOT_JUDGED_ELSEWHERE,
        BY_CARD,
        NO_FOOTING,
        TRUCK_OVER,
        TRUCK_UNDECIDED,
        COLD_JOINT,
        FROZEN_GROUND,
        THAW_UNKNOWN,
        POUR_STOPPED,
        FROZEN_CONCRETE,
        LOW_BREAK,
        OTHER,
    )
}


def held_by(kind: str, *, engineer_decides: bool) -> str:
    """The gate that a deviation of this kind holds. One of an unknown kind that only the engineer answers is
    about the concrete."""
    if kind in KINDS:
        return KINDS[kind].holds
    return "tower lift" if engineer_decides else ""


def stopped_by(kind: str) -> str:
    """The phase that a deviation of this kind stops, SITE for all of them; empty for most."""
    return KINDS[kind].stops if kind in KINDS else ""
