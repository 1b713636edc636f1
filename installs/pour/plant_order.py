"""The order to the plant, line by line, to be read over the telephone, copied or printed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from installs.jobs.models import Job
from installs.pour.terms import PourTerms
from installs.pour.truck_words import no_order
from sitecalc.foundation.take_off import Delivery
from sitecalc.pour.placing import air_range, slump_range, temperature_range
from sitecalc.wording import clock_words, day_words

RULES = (
    "Slump and air: ASTM C94 (clause not verified); time: ASTM C94 before 2021 (clause not verified). "
    "Temperatures: ACI 306R-16 table 5.1 (part of it not verified). Cylinders: "
    "ACI 318-19 26.12 (clause not verified)."
)


def order_lines(
    job: Job,
    terms: PourTerms | None,
    order: Delivery | None,
    air_f: float | None,
    called: datetime | None,
    void: str = "",
) -> list[str]:
    """Empty while the foundation and the mix are not known.

    ``void``: why the pour's release no longer stands; then nothing is ordered by it.
    """
    if void:
        return [no_order(void)]
    if terms is None or order is None or terms.limits() is None or not terms.figures.fc_psi:
        return []
    return [line for line in _lines(job, terms, order, air_f, called) if line]


def _lines(
    job: Job, terms: PourTerms, order: Delivery, air_f: float | None, called: datetime | None
) -> Iterator[str]:
    figures = terms.figures
    release = f", pour release {terms.letter}" if terms.letter else ", NOT RELEASED"
    yield f"CONCRETE ORDER, job {job.number}{release}"
    yield f"For: {job.owner}, {', '.join(p for p in (job.address, job.place, job.county) if p)}"
    yield _when(job, called)
    yield f"Plant: {figures.plant}" if figures.plant else ""
    loads = ", ".join(f"{load:g}" for load in order.loads_yd3)
    count = len(order.loads_yd3)
    trucks = f"{count} truck{'s' if count != 1 else ''} of {loads}"
    yield f"Yards: {order.order_yd3:g} yd3 in {trucks}; last truck on our call"
    yield f"Trucks leave the plant {figures.spacing_minutes:g} min apart"
    code = f"{figures.mix_code}, " if figures.mix_code else ""
    yield f"Mix: {code}{figures.fc_psi:,.0f} psi at {terms.figures.acceptance_days:g} days"
    w_cm = f", w/cm at most {figures.w_cm:g}" if figures.w_cm else ""
    yield f"Exposure {figures.exposure}, stone to {figures.aggregate_in:g} in{w_cm}"
    yield from _limits(terms, air_f)
    yield f"Accelerator: {_accelerator(terms.figures.accelerator)}"
    yield (
        f"Discharged within {figures.most_minutes:g} min of batching. On each ticket: mix, yards, time "
        "batched, and the gallons that may still be added"
    )
    yield "Read back by: ____________________  day and hour: ____________________"


def _when(job: Job, called: datetime | None) -> str:
    if called is None:
        return "First truck on site: day ____________  hour ________"
    local = job.local(called)
    clock = clock_words(local)
    return f"First truck on site: {day_words(local, weekday=True, year=True, long=True)}, {clock}"


def _limits(terms: PourTerms, air_f: float | None) -> Iterator[str]:
    limits = terms.limits()
    if limits is None:
        return
    slump, air, heat = slump_range(limits), air_range(limits), temperature_range(limits, air_f)
    yield f"Slump {limits.slump_in:g} in ({slump[0]:g} to {slump[1]:g} taken)"
    yield f"Air {limits.air_pct:g} % ({air[0]:g} to {air[1]:g} taken)"
    cold = terms.cold(air_f)
    if cold is None or cold.cold is None:
        yield f"Concrete on arrival {heat[0]:g} to {heat[1]:g} F"
        yield "Air of the day not recorded yet: ask again for heated mix if it may fall under 40 F"
    elif cold.as_mixed_f is not None:
        low, high = cold.as_mixed_f
        yield f"COLD WEATHER, air to {air_f:g} F: heated mix, {low:g} to {high:g} F at the plant"
        yield f"Concrete on arrival {heat[0]:g} to {heat[1]:g} F"
    else:
        yield f"Concrete on arrival {heat[0]:g} to {heat[1]:g} F"


def _accelerator(kind: str) -> str:
    return {
        "none": "none",
        "no chloride": "without chlorides only (ASTM C494 type C or E)",
        "chloride": "AS DRAWN IT HAS CHLORIDES: do not order, ask the engineer",
    }.get(kind, "none")
