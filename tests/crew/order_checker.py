"""Whether a plan of days is in order, asked in another way than the program does: no code of it is used.

The rules as the trade has them, common practice, no source: dig, then pour, then bolt the tower together;
the tower goes up on a pad that has its curing days and when it is bolted, the turbine on the tower, and last
it is commissioned, with the wiring done. Each on a later day; the turbine may go up on the day of the tower.
A curing day is a day of 50 F or more after that of the pour; a colder one counts (T - 32)/18 of one.
"""

from __future__ import annotations

from datetime import date, timedelta

# each with what must be over before it, and whether the same day will do
BEFORE = {
    "pour": [("excavation", False)],
    "tower assembly": [("pour", False)],
    "tower lift": [("pour", False), ("tower assembly", False)],
    "turbine lift": [("tower lift", True)],
    "commissioning": [("turbine lift", False), ("ground station", False)],
    "maintenance": [("commissioning", False)],
}


def wrong_days(
    days: list[tuple[str, date]],
    finished: set[str],
    under_way: set[str],
    today: date,
    cure_days: float,
    temperature_f: float | None,
    poured_on: date | None = None,
) -> set[int]:
    """Places in ``days`` of those that cannot be where they are; what is behind or under way is not asked."""
    found = set()
    for place, (what, on) in enumerate(days):
        if on < today or what in finished | under_way:
            continue
        for other, same_day in BEFORE.get(what, []):
            if other in finished or (other == "pour" and poured_on is not None):
                continue
            to_come = [d for w, d in days if w == other and d >= today]
            if not to_come and other in under_way:
                continue
            if not to_come or any(d > on or (d == on and not same_day) for d in to_come):
                found.add(place)
        if what == "tower lift":
            pours = [d for w, d in days if w == "pour" and d >= today] if poured_on is None else [poured_on]
            if pours and "pour" not in finished and cured(max(pours), on, temperature_f) < cure_days - 1e-9:
                found.add(place)
    return found


def cured(poured_on: date, on: date, temperature_f: float | None) -> float:
    """Curing days at the beginning of a day, one by one, at one temperature all the year."""
    one = 1.0 if temperature_f is None else min(max((temperature_f - 32) / 18, 0.0), 1.0)
    total, day = 0.0, poured_on + timedelta(days=1)
    while day < on:
        total += one
        day += timedelta(days=1)
    return total
