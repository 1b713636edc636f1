"""The state of a cure: closed by default, opened only by days, notice, backfill and survey together."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from installs.checklists.models import Entry
from installs.pour.acceptance import grout_missing
from installs.pour.cure import cure_of, cure_state
from installs.pour.facts import CureFacts, EarlyFact, NoticeFact
from installs.pour.field_log import GROUT, PourLog, Told
from installs.pour.models import PourDesign
from installs.pour.temperatures import Temperatures
from installs.pour.terms import PourTerms, terms_of
from sitecalc.figures import declared
from sitecalc.pour.figures import MonthsRow
from sitecalc.pour.readings import ConcreteReading, traces_of

NORMALS = (12.0, 17.0, 29.0, 43.0, 56.0, 66.0, 71.0, 69.0, 59.0, 45.0, 29.0, 16.0)
POURED = date(2031, 4, 24)
FIRST = datetime(2031, 4, 24, 18, tzinfo=UTC)


def terms(**changed: Any) -> PourTerms:
    months = (month.name for month in declared(MonthsRow))
    normals = [dict(zip(months, NORMALS, strict=True))]
    return terms_of({**PourDesign(fc_psi=4500.0).value, "normals": normals, **changed}, "A")


def steady(temp_f: float, days: float, sensor: str = "edge") -> tuple[ConcreteReading, ...]:
    return tuple(
        ConcreteReading(sensor, FIRST + timedelta(hours=h), temp_f) for h in range(round(days * 24) + 1)
    )


ENTRY: Any = object()  # stands for the entry of backfill and survey; the rule only asks whether there is one


def log(readings: tuple[ConcreteReading, ...] = (), **changed: Any) -> PourLog:
    whole: dict[str, Any] = {
        "trucks": (), "poured_on": POURED,
        "temperatures": Temperatures(traces_of(readings, ZoneInfo("America/Chicago"))[0], {}),
        "backfilled": ENTRY, "surveyed": ENTRY,
    }  # fmt: skip
    return PourLog(**{**whole, **changed})


def notice(*psi: float, cure: str = "field", age: float = 21, on: date = date(2031, 5, 15)) -> NoticeFact:
    values = psi or (3400.0, 3400.0, 3400.0)
    marked = tuple((f"F{i}", p) for i, p in enumerate(values))
    return NoticeFact(
        cure=cure,
        age_days=age,
        diameter_in=4,
        cylinders=marked,
        average_psi=sum(values) / len(values),
        signer="T. Orme",
        firm="Sorrel Testing",
        written_on=on,
    )


WHOLE = CureFacts("America/Chicago", log(steady(60, 40)), terms(), (notice(),))
AT = datetime(2031, 5, 23, 15, tzinfo=UTC)  # 28 whole days after the pour


def test_days_notice_backfill_and_survey_together_make_it_ready():
    state = cure_state(WHOLE, AT)
    assert state.missing == ()
    assert state.ready
    assert (state.curing_days, state.strength_psi, state.required_psi) == (28, 3400, 3375)


@pytest.mark.parametrize(
    ("facts", "missing"),
    [
        (replace(WHOLE, log=log(steady(60, 20))), "19.5 of 28 curing days"),  # the last day 13 h
        (replace(WHOLE, log=log()), "0.0 of 28 curing days"),
        (replace(WHOLE, notices=()), "strength notice not written"),
        (
            replace(WHOLE, notices=(notice(cure="lab"),)),
            "strength notice not written (lab-cured cylinders do not count)",
        ),
        (
            replace(WHOLE, notices=(notice(3300, 3370, 3380),)),
            "strength notice of May 15, 2031 shows 3,350 psi, 3,375 psi required",
        ),
        (
            replace(WHOLE, notices=(notice(4000, 4000),)),
            "strength notice of May 15, 2031 is not a whole test",
        ),
        (replace(WHOLE, notices=(notice(on=date(2031, 6, 1)),)), "strength notice not written"),
        (replace(WHOLE, log=log(steady(60, 40), backfilled=None)), "backfill not recorded to grade"),
        (
            replace(WHOLE, log=log(steady(60, 40), surveyed=None)),
            "bolt survey not recorded in tolerance",
        ),
        (replace(WHOLE, log=log(steady(60, 40), poured_on=None)), "no pour recorded"),
        (replace(WHOLE, terms=None), "pour not released, the required strength is not known"),
        (
            replace(WHOLE, terms=terms(fc_psi=None)),
            "pour not released, the required strength is not known",
        ),
        (replace(WHOLE, terms=terms(erection_psi=3600.0)), "strength notice of May 15, 2031 shows 3,400 psi"),
    ],
)
def test_each_thing_missing_closes_it_and_is_said(facts, missing):
    """Strength: 29 CFR 1926.752(a)(1), 0.75 x 4,500 = 3,375 psi."""
    state = cure_state(facts, AT)
    assert not state.ready
    assert len(state.missing) == 1
    assert state.missing[0].startswith(missing)


def test_27_96_days_are_not_shown_as_28():
    # 27 days of 60 F and one of 49.28 F: 27.96
    cold = tuple(
        replace(r, temp_f=49.28) if date(2031, 5, 10) == (r.at - timedelta(hours=5)).date() else r
        for r in steady(60, 40)
    )
    state = cure_state(replace(WHOLE, log=log(cold)), AT)
    assert state.missing == ("27.9 of 28 curing days",)


def test_a_job_may_ask_for_more_days_but_not_for_fewer():
    assert cure_state(replace(WHOLE, terms=terms(curing_days=35.0)), AT).missing == (
        "28.0 of 35 curing days",
    )
    assert cure_state(replace(WHOLE, terms=terms(curing_days=7.0)), AT).days_required == 28


def test_today_counts_only_when_it_is_over():
    late_evening = datetime(2031, 5, 23, 4, 30, tzinfo=UTC)  # 11:30 PM of May 22 at the site
    assert cure_state(WHOLE, late_evening).curing_days == 27
    assert cure_state(WHOLE, late_evening + timedelta(hours=1)).curing_days == 28


def test_an_engineers_early_release_takes_the_place_of_the_days_and_of_nothing_else():
    early = EarlyFact("Rhoda Kell, PE", "Strength is there, winds are low.", AT)
    half = replace(WHOLE, log=log(steady(60, 20)), early=early)
    assert cure_state(half, AT).ready
    assert "Rhoda Kell, PE" in (cure_state(half, AT).early_release or "")
    assert cure_state(replace(half, notices=()), AT).missing == ("strength notice not written",)


def test_a_later_lower_notice_takes_the_place_of_an_earlier_one():
    lower = notice(3000, 3000, 3000, on=date(2031, 5, 20))
    assert not cure_state(replace(WHOLE, notices=(notice(), lower)), AT).ready


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
def test_of_two_tests_of_one_day_the_lower_counts_in_either_order(order):
    both = notice(), notice(3000, 3000, 3000)
    facts = replace(WHOLE, notices=tuple(both[i] for i in order))
    assert not cure_state(facts, AT).ready
    assert any("3,000" in words for words in cure_state(facts, AT).missing)


@pytest.mark.parametrize(("lab", "verdict"), [(4000, "passes"), (4001, "fails")])
def test_field_cured_cylinders_are_held_against_the_labs_of_the_same_age(lab, verdict):
    """ACI 318-19 26.5.3.2(e), from memory: 85 % of the lab-cured, or f'c + 500 psi: 3,400 of 4,000."""
    both = replace(WHOLE, notices=(notice(), replace(notice(lab, lab, lab), cure="lab")))
    found = {c.key: c.verdict for c in cure_of(both, AT).checks}
    assert found["curing quality"] == verdict
    alone = cure_of(WHOLE, AT).checks
    assert "curing quality" not in {c.key for c in alone}


@pytest.mark.parametrize("order", [(0, 1, 2), (0, 2, 1)])
def test_of_two_lab_tests_of_one_day_the_higher_is_asked_in_either_order(order):
    """3,400 psi of the field is 85 % of 4,000 and less of 4,600: what was recorded first decides nothing."""
    three = notice(), *(replace(notice(psi, psi, psi), cure="lab") for psi in (4000, 4600))
    facts = replace(WHOLE, notices=tuple(three[i] for i in order))
    assert {c.key: c.verdict for c in cure_of(facts, AT).checks}["curing quality"] == "fails"


def test_the_forecast_is_the_first_morning_on_which_the_days_are_there():
    facts = replace(WHOLE, log=log(steady(60, 20)))
    at = datetime(2031, 5, 14, 15, tzinfo=UTC)  # 19 whole days are over, 9 to come, May and June are warm
    assert cure_state(facts, at).expected == date(2031, 5, 23)


def test_without_normals_there_is_no_date():
    facts = replace(WHOLE, log=log(steady(60, 20)), terms=terms(normals=[]))
    assert cure_state(facts, datetime(2031, 5, 14, 15, tzinfo=UTC)).expected is None


def test_cylinders_that_broke_low_put_the_expected_strength_off():
    at = datetime(2031, 5, 10, 15, tzinfo=UTC)
    low = notice(2000, 2000, 2000, age=14, on=date(2031, 5, 8))
    without, after = (
        cure_of(replace(WHOLE, log=log(steady(60, 15)), notices=n), at).strength_expected
        for n in ((), (low,))
    )
    assert without is not None
    assert after is None or after > without


@given(
    days=st.floats(0, 40),
    temp=st.floats(20, 90),
    psi=st.lists(st.floats(0, 8000), max_size=4),
    cure=st.sampled_from(["field", "lab"]),
    hours=st.integers(0, 24 * 60),
    backfilled=st.booleans(),
    surveyed=st.booleans(),
)
def test_there_is_no_way_past_the_rule(days, temp, psi, cure, hours, backfilled, surveyed):
    """Ready only with 28 days by the glossary's count, three field-cured cylinders, backfill and survey."""
    at = FIRST + timedelta(hours=hours)
    record = log(
        steady(temp, days)[::6],
        backfilled=ENTRY if backfilled else None,
        surveyed=ENTRY if surveyed else None,
    )
    notices = (notice(*psi, cure=cure),) if psi else ()
    state = cure_state(CureFacts("America/Chicago", record, terms(), notices), at)
    whole_days = min(days, hours / 24)
    if state.ready:
        assert backfilled and surveyed and cure == "field" and len(psi) >= 3
        assert sum(psi) / len(psi) >= 3375 - 1e-3
        assert whole_days * min(max((temp - 32) / 18, 0), 1) >= 27
    assert state.ready == (not state.missing)


def grout(**psi: float | None) -> CureFacts:
    """Readings of the grout by what they were taken of."""
    rows = [Entry(code=GROUT, subject=of, number=value, taken_at=FIRST) for of, value in psi.items()]
    told = {GROUT: tuple(Told(row, None) for row in rows)}
    return CureFacts("America/Chicago", log(told=told), terms(grout_psi=6000.0))


@pytest.mark.parametrize(
    ("read", "missing"),
    [
        ({"cubes": 6100.0}, ""),
        ({"cubes": 5900.0}, "grout 5,900 of 6,000 psi required"),
        ({"cubes": 0.0}, "grout 0 of 6,000 psi required"),
        ({"cubes": None}, "grout strength of cubes not read, 6,000 psi required"),
        ({"cubes": 6100.0, "others": None}, "grout strength of others not read, 6,000 psi required"),
    ],
)
def test_grout_that_was_not_read_is_no_grout_of_no_strength(read, missing):
    """Neither holds the base; what is said of it is what is on record."""
    assert grout_missing(grout(**read)) == missing
