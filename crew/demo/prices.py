"""The demo firm's price basis: three invented quotes, one of them old, and goods that nobody quoted."""

from __future__ import annotations

from datetime import datetime, timedelta

from installs.jobs.models import Job
from installs.materials.gathering import goods_of, part_lists
from installs.materials.services import record_quote
from installs.people.models import User

# (source, days ago, beginning of the good's name -> $ a unit); invented as everything of the demo is
QUOTES: tuple[tuple[str, int, dict[str, float]], ...] = (
    ("Juniper Ready Mix, price list of the season", 208, {"Concrete": 187.5}),
    ("Fargo Rebar, quote 4417", 96, {"Bar ": 1.18, "Tie wire": 2.4, "Chairs": 1.65, "Anchor bolt": 41.8}),
    (
        "Prairie Electric Supply, quote 20718",
        61,
        {
            "Conductor, 4 AWG": 1.485,
            "Conductor, 6 AWG": 0.965,
            "Conduit": 2.35,
            "Ground rod": 27.9,
            "Warning ribbon": 0.085,
            "Breaker": 164.0,
        },
    ),
)


def make_prices(job: Job, by: User, now: datetime) -> None:
    """For what ``job`` buys; what no quote names stays without a price."""
    goods = goods_of(part_lists(job))
    for source, days, prices in QUOTES:
        typed = {g: usd for g in goods for begins, usd in prices.items() if g.name.startswith(begins)}
        at = now - timedelta(days=days)
        if typed:
            record_quote(typed, quoted_on=at.date(), source=source, by=by, at=at)
