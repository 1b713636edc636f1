"""The site of a job: from its figures to checks, drawings, sheets; unknown is never clear."""

from __future__ import annotations

import json
import re
from xml.etree import ElementTree

import pytest
from django.template.loader import render_to_string
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from installs.jobs.services import canonical, release_design
from installs.site.book import strip
from installs.site.drawing import draw
from installs.site.facts import in_plan, trench_length_ft
from installs.site.models import SiteDesign
from installs.site.plan import free_bearings, site_plan
from installs.site.review import review, review_figures
from installs.site.sheets import energy_sheet, plan_sheet
from sitecalc.checks import Check, Verdict
from sitecalc.figures import read
from sitecalc.inputs import InputError
from sitecalc.site.figures import SiteFigures
from tests.make import AT, alma, make_job
from tests.site.lots import figures, make_site, thing, things
from tests.turbine.machines import make_model, make_turbine

pytestmark = pytest.mark.django_db
ENERGY = "installs/site/_energy.html"


@pytest.fixture
def site() -> SiteDesign:
    job = make_job()
    make_turbine(job)
    return make_site(job)


def check(design: SiteDesign, key: str) -> Check:
    return next(c for c in review(design).checks if c.key == key)


def test_without_a_turbine_nothing_is_checked_and_the_plan_is_drawn_all_the_same() -> None:
    design = make_site(make_job())
    found = review(design)
    assert [c.verdict for c in found.checks] == [Verdict.NOT_CHECKED]
    assert set(draw(design, found)) == {"plan"}


def test_a_site_with_all_its_figures_passes(site: SiteDesign) -> None:
    found = review(site)
    assert all(c.passes for c in found.checks), [c.note for c in found.checks if not c.passes]
    assert found.results is not None
    # 1.1 times 114 ft of hub and 19 ft of blade: arithmetic
    assert found.results.setback_ft == pytest.approx(146.3)
    assert set(draw(site, found)) == {"plan", "clearance", "energy"}


@pytest.mark.parametrize(
    ("key", "change"),
    [
        ("setback-property", {"east_ft": None}),
        ("setback-property", {"property_multiple": None}),
        ("setback-dwelling", {"dwelling_multiple": None}),
        ("setback-road", {"surveyed_ft": 100.0, "things": things()[:1]}),
        ("overhead-line", {"things": things()[:1]}),
        ("obstacles", {"surveyed_ft": None}),
        ("obstacles", {"things": [*things(), thing("bin", "building", 200.0, None)]}),
        ("airspace", {"airports_listed": False}),
        ("noise", {"sound_limit_dba": None}),
        ("noise", {"north_ft": None}),
        ("wind", {"mean_mph": None}),
        ("wind", {"elevation_ft": None}),
    ],
)
def test_what_is_not_known_is_not_checked(site: SiteDesign, key: str, change: dict[str, object]) -> None:
    for name, value in change.items():
        site.change(**{name: value})
    assert check(site, key).verdict is Verdict.NOT_CHECKED


@pytest.mark.parametrize(
    ("key", "change"),
    [
        ("setback-property", {"north_ft": 140.0}),
        ("setback-dwelling", {"things": [thing("neighbor", "dwelling", 190.0, 90.0, height_ft=20.0)]}),
        ("setback-road", {"things": [thing("lane", "road", 140.0, 90.0)]}),
        ("overhead-line", {"things": [thing("line", "overhead line", 140.0, 90.0, height_ft=30.0)]}),
        ("obstacles", {"things": [thing("grove", "trees", 300.0, 20.0, height_ft=70.0)]}),
        ("noise", {"sound_limit_dba": 40.0}),
        ("wind-height", {"wind_at_ft": 33.0}),
        (
            "airspace",
            {
                "runways": [
                    {
                        "name": "Plum 13/31",
                        "use": "runway",
                        "distance_ft": 9000.0,
                        "elevation_ft": 1450.0,
                        "longest_ft": 4000.0,
                    }
                ]
            },
        ),
    ],
)
def test_what_is_too_near_fails(site: SiteDesign, key: str, change: dict[str, object]) -> None:
    for name, value in change.items():
        site.change(**{name: value})
    assert check(site, key).verdict is Verdict.FAILS


def test_sound_at_a_neighbor_is_by_the_neighbors_distance(site: SiteDesign) -> None:
    at_the_line = check(site, "noise").demand
    site.change(sound_at="nearest neighboring dwelling")
    assert check(site, "noise").demand < at_the_line
    site.change(things=[*things(), thing("neighbor", "dwelling", 260.0, 40.0, height_ft=20.0)])
    assert "260 ft off" in check(site, "noise").note


def test_months_are_split_and_must_agree_with_the_year(site: SiteDesign) -> None:
    months = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
    site.change(monthly=[dict.fromkeys(months, 12.4)])
    energy = review(site).results.energy
    assert sum(energy.monthly_kwh) == pytest.approx(energy.net_kwh)
    site.change(monthly=[dict.fromkeys(months, 15.0)])
    with pytest.raises(InputError) as caught:
        review(site)
    assert caught.value.field == "monthly"


def test_bands_hold_all_the_energy_and_nearly_all_the_hours(site: SiteDesign) -> None:
    energy = review(site).results.energy
    assert sum(b.kwh for b in energy.bands) == pytest.approx(energy.net_kwh)
    assert 8700 < sum(b.hours for b in energy.bands) <= 8760


def test_an_error_is_said_at_the_field_of_the_page(site: SiteDesign) -> None:
    site.change(law="log law", roughness_ft=None)
    with pytest.raises(InputError) as caught:
        review(site)
    assert caught.value.field == "roughness_ft"


def test_bearings_run_clockwise_from_north() -> None:
    """Surveyor's azimuth: 0 is north, 90 is east."""
    assert in_plan(0, 100) == pytest.approx((0, 100))
    assert in_plan(90, 100) == pytest.approx((100, 0))
    assert in_plan(225, 100) == pytest.approx((-70.711, -70.711), abs=0.001)


def test_a_trench_is_as_long_as_its_legs() -> None:
    """30 ft east, then to a point 40 ft north of the tower: 30 + 50 ft (a 3-4-5 triangle)."""
    assert trench_length_ft(read(SiteFigures, figures()).trench) == pytest.approx(80.0)
    assert trench_length_ft([]) is None


def test_notes_keep_off_what_is_taken() -> None:
    free = free_bearings([235.0, 270.0])
    assert all(abs(next(free) - taken) >= 15 for taken in (235.0, 270.0))


def test_a_release_keeps_turbine_and_site_and_its_sheets_are_printed_from_it(site: SiteDesign) -> None:
    office, found = alma(), review(site)
    revision = release_design(site.job, "site", site.inputs(), found.results, found.checks, by=office, at=AT)
    turbine = site.job.turbine
    turbine.change(hub_ft=80.0)
    site.change(mean_mph=9.0)
    turbine.save()
    site.save()
    plan, energy = plan_sheet(site.job, revision), energy_sheet(site.job, revision)
    assert plan["facts"].hub_ft == 114.0 and energy["facts"].hub_mean_mph == found.results.hub_mean_mph
    keys = [c["key"] for c in (*plan["checks"], *energy["checks"])]
    assert sorted(keys) == sorted(c.key for c in found.checks)
    assert plan["scale"].startswith("1 in = ")
    assert json.loads(canonical(revision.inputs))["turbine"]["machine"]["name"] == "Plum 19"
    assert "Property line 162 ft, 146.3 ft required" in strip(site.job, "survey", AT)


def test_another_turbine_voids_what_was_accepted(site: SiteDesign) -> None:
    """An acceptance is bound to the inputs, and the machine is one of them."""
    before = canonical(site.inputs())
    other = make_model(name="Plum 25")
    site.job.turbine.model = other
    site.job.turbine.save()
    assert canonical(SiteDesign.objects.get(pk=site.pk).inputs()) != before


some_feet = st.one_of(st.none(), st.floats(1, 3000))


@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    sides=st.tuples(some_feet, some_feet, some_feet, some_feet),
    rows=st.lists(
        st.builds(
            thing,
            st.sampled_from(["house", "Šed <b>&\x00", "x" * 120]),
            st.sampled_from(["dwelling", "building", "road", "overhead line", "trees", "other"]),
            st.floats(0, 30_000),
            st.one_of(st.none(), st.floats(0, 360)),
            height_ft=st.one_of(st.none(), st.floats(0, 600)),
            width_ft=st.one_of(st.none(), st.floats(1, 5000)),
        ),
        max_size=6,
    ),
)
def test_whatever_is_given_the_plan_can_be_drawn(site: SiteDesign, sides, rows) -> None:
    inputs = {
        **site.inputs(),
        **dict(zip(("north_ft", "east_ft", "south_ft", "west_ft"), sides, strict=True)),
        "things": rows,
    }
    drawing = site_plan(read(SiteFigures, inputs), review_figures(inputs).results)
    left, top, right, bottom = drawing.box()
    assert right - left < 4000 and bottom - top < 3000


@pytest.mark.parametrize("change", [{}, {"things": [], "trench": []}, {"north_ft": None, "west_ft": None}])
def test_drawings_are_whole_and_styled_by_attributes(site: SiteDesign, change: dict[str, object]) -> None:
    for name, value in change.items():
        site.change(**{name: value})
    for svg in draw(site, review(site)).values():
        ElementTree.fromstring(svg)
        assert "style=" not in svg and "<style" not in svg


@pytest.mark.parametrize(
    ("low_kwh", "high_kwh", "said"),
    [
        (11_454.0, 23_280.0, "11,454 to 23,280 kWh"),
        (0.0, 17_240.0, "at most 17,240 kWh"),
        (0.0, 0.0, "less than"),
    ],
)
def test_what_is_to_be_expected_stands_as_large_as_what_was_worked_out(low_kwh, high_kwh, said) -> None:
    """What was worked out lies above all that machines were measured to give (Sheridan et al. 2022)."""
    facts = {"energy": {"net_kwh": 26_565.0, "low_kwh": low_kwh, "high_kwh": high_kwh}}
    bold = re.findall(r"<strong>(.*?)</strong>", " ".join(render_to_string(ENERGY, {"facts": facts}).split()))
    assert "26,565 kWh" in bold and any(words.strip().startswith(said) for words in bold)
