"""The price basis: the newest quote counts, nothing is overwritten, and an unknown price is never a zero."""

from __future__ import annotations

import csv
import io
from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from installs.jobs.material_lines import Good, Line
from installs.materials.forms import field_name
from installs.materials.models import Price
from installs.materials.pricing import cost_of, counting_prices, priced
from installs.materials.services import record_quote, withdraw_price
from installs.people.models import FirmEvent
from sitecalc.wording import dollar_words
from tests.make import AT, alma, make_person, make_release

pytestmark = pytest.mark.django_db

CONCRETE, BARS = Good("Concrete, 4,500 psi", "yd3"), Good("Bar #8, Grade 60", "lb")
TODAY = date(2031, 5, 20)


def quote(good: Good, usd: float, on: date = TODAY, source: str = "Osier Supply 12") -> Price:
    return record_quote({good: usd}, quoted_on=on, source=source, by=alma(), at=AT)[0]


def test_a_list_costs_what_its_invoice_would_be_for() -> None:
    """By hand: 84 yd3 at $187.50 is $15,750.00; 27 bars of 1,640 lb at $1.18 a pound are $1,935.20."""
    lines = [
        Line("pour", "Concrete", "", 81.7, "yd3", 2.3, good=CONCRETE.name),
        Line("excavation", BARS.name, "B1", 27, "each", by_weight_lb=1640.0),
    ]
    quote(CONCRETE, 187.5)
    quote(BARS, 1.18)
    rows = [priced(line, counting_prices()) for line in lines]
    assert [row.usd for row in rows] == pytest.approx([15_750.0, 1_935.2])
    cost = cost_of(rows, TODAY)
    assert cost.usd == pytest.approx(17_685.2) and cost.is_whole


def test_without_a_price_a_line_costs_an_unknown_and_no_sum_is_whole() -> None:
    quote(BARS, 0.0)  # nothing to pay is a price: the owner's own bars
    lines = [
        Line("p", "Turbine, Osier 10", "", 1, "each"),
        Line("p", BARS.name, "", 3, "each", by_weight_lb=9),
    ]
    rows = [priced(line, counting_prices()) for line in lines]
    assert [row.usd for row in rows] == [None, 0.0]
    cost = cost_of(rows, TODAY)
    assert (cost.usd, cost.unpriced, cost.is_whole) == (0.0, 1, False)
    assert not cost_of([], TODAY).is_whole


def test_the_newest_quote_counts_in_whatever_order_they_are_typed() -> None:
    late = quote(CONCRETE, 190.0)
    quote(CONCRETE, 150.0, on=TODAY - timedelta(days=300))
    assert counting_prices() == {CONCRETE: late}
    again = quote(CONCRETE, 191.0)  # of the same day: a correction
    assert counting_prices()[CONCRETE] == again
    assert Price.objects.filter(good=CONCRETE.name).count() == 3


def test_the_same_good_sold_otherwise_is_another_good() -> None:
    quote(BARS, 1.18)
    assert priced(Line("p", BARS.name, "", 27, "each"), counting_prices()).usd is None


def test_withdrawn_nothing_is_known_until_a_newer_quote() -> None:
    row = quote(CONCRETE, 190.0)
    withdraw_price(row, on=TODAY, by=alma(), at=AT)
    line = Line("pour", "Concrete", "", 10, "yd3", good=CONCRETE.name)
    assert priced(line, counting_prices()).usd is None
    with pytest.raises(ValidationError):
        withdraw_price(row, on=TODAY, by=alma(), at=AT)
    quote(CONCRETE, 200.0, on=TODAY + timedelta(days=1))
    assert priced(line, counting_prices()).usd == 2000.0
    assert [e.verb for e in FirmEvent.objects.order_by("sequence")][-3:] == [
        "prices recorded", "price withdrawn", "prices recorded",
    ]  # fmt: skip


def test_old_quotes_are_said() -> None:
    row = quote(CONCRETE, 190.0, on=TODAY - timedelta(days=200))
    line = Line("pour", "Concrete", "", 10, "yd3", good=CONCRETE.name)
    assert cost_of([priced(line, {CONCRETE: row})], TODAY).old == 1
    assert cost_of([priced(line, {CONCRETE: row})], row.quoted_on).old == 0


@pytest.fixture
def listed(job, monkeypatch):
    """A job whose one released part buys what stands in the list that is handed out."""
    lines = [Line("pour", "Concrete", "84 yd3", 81.7, "yd3", 2.3, good=CONCRETE.name)]
    make_release(job, "site", by=alma(), inputs={"state": "ND"})
    from installs.jobs.parts import TABLE

    monkeypatch.setitem(vars(TABLE["site"]), "materials", lambda revision: lines)
    return lines


def test_a_page_of_an_earlier_list_prices_the_goods_that_it_showed(client, job, listed) -> None:
    client.force_login(alma())
    url = reverse("job-prices", args=[job.number])
    told = [h for g, h in shown(client.get(url))]
    listed.insert(0, Line("pour", "Sealer", "", 2, "each"))
    listed.pop()
    typed = {"quoted_on": "2026-03-04", "source": "Q 1", "good": told, field_name(CONCRETE): "187.5"}
    assert client.post(url, typed).status_code == 302
    assert {(p.good, p.usd) for p in Price.objects.all()} == {(CONCRETE.name, 187.5)}


def shown(response) -> list[tuple[Good, str]]:
    return [(good, told) for told, good, _, _ in response.context["form"].rows]


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"usd": "-1"}, field_name(CONCRETE)),
        ({"usd": "dear"}, field_name(CONCRETE)),
        ({"usd": "1e9"}, field_name(CONCRETE)),
        ({"source": ""}, "source"),
        ({"quoted_on": "2199-01-01"}, "quoted_on"),
        ({"quoted_on": (timezone.localdate() + timedelta(days=2)).isoformat()}, "quoted_on"),
        ({"usd": ""}, "__all__"),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_nothing_is_recorded(
    client, job, listed, typed, field
) -> None:
    client.force_login(alma())
    url = reverse("job-prices", args=[job.number])
    told = [h for _, h in shown(client.get(url))]
    usd = typed.pop("usd", "187.5")
    data = {"quoted_on": "2026-03-04", "source": "Q 1", "good": told, field_name(CONCRETE): usd} | typed
    response = client.post(url, data)
    assert response.status_code == 422 and field in response.context["form"].errors
    assert not Price.objects.exists()
    assert all(f'value="{v}"' in response.content.decode() for v in (usd, data["source"]) if v)


def test_what_things_cost_is_the_offices(client, job, listed) -> None:
    quote(CONCRETE, 187.5, source="Osier Ready Mix 7")
    foreman = make_person(role="foreman")
    job.members.create(person=foreman, since=AT)
    pages = [reverse(name, args=[job.number]) for name in ("materials", "materials-csv")]
    client.force_login(foreman)
    for page in pages:
        assert "187.5" not in client.get(page).content.decode()
    assert client.get(reverse("job-prices", args=[job.number])).status_code == 403
    client.force_login(alma())
    assert "$15,750" in client.get(pages[0]).content.decode()
    (row,) = csv.DictReader(io.StringIO(client.get(pages[1]).content.decode()))
    assert (row["amount, $"], row["quote or invoice"]) == ("15750.00", "Osier Ready Mix 7")


@pytest.mark.parametrize(
    ("usd", "words"),
    [
        (15_750.4, "$15,750"),
        (187.5, "$187.50"),
        (1.485, "$1.485"),
        (1.18, "$1.18"),
        (0.0, "$0.00"),
        (27.9, "$27.90"),
    ],
)
def test_dollars_are_written_as_a_quote_writes_them(usd, words) -> None:
    assert dollar_words(usd) == words
