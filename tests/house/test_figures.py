"""Figures and words as they are typed."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from installs.measures import QuantityInput, WithinRange, plain_words


@pytest.mark.parametrize(
    ("typed", "feet"),
    [
        ("16", 16), ("16 ft 6 in", 16.5), ("16' 6", 16.5), ("16' 6\"", 16.5), ("78 in", 6.5), ("6\"", 0.5),
        ("5 m", 5 / 0.3048), ("1,200", 1200), ("1,200.5", 1200.5), ("−5", -5), (".5", 0.5), ("1e3", 1000),
    ],
)  # fmt: skip
def test_lengths_as_people_write_them(typed, feet):
    """The foot is 0.3048 m exactly (NIST Special Publication 811, appendix B)."""
    assert QuantityInput(unit="ft").clean(typed) == pytest.approx(feet)


@pytest.mark.parametrize(
    "typed",
    ["16 6", "1.5.2", "12,5", "1,20", ",", "1_000", "１２", "१२", "²", "NaN", "inf", "1e999", "0x10", "5 m 3",
     "9" * 5000, "9" * 41, "1\x00", "12 ft" * 200, "--1", "6 in 3", "½"],
)  # fmt: skip
@pytest.mark.parametrize("unit", ["ft", "in", "psi", ""])
def test_what_could_be_read_in_two_ways_or_none_is_refused(typed, unit):
    with pytest.raises(ValidationError):
        QuantityInput(unit=unit).clean(typed)


@given(st.text(max_size=50))
def test_no_text_breaks_a_figure(typed):
    try:
        QuantityInput(unit="ft", required=False).clean(typed)
    except ValidationError as error:
        assert error.messages


@pytest.mark.parametrize(
    ("low", "high", "unit", "value", "words"),
    [
        (1, 8, "ft", 12, "12 ft is too large; at most 8 ft. Typed in inches? That would be 1 ft."),
        (6, 60, "in", 4, "4 in is too small; at least 6 in. Typed in feet? That would be 48 in."),
        (
            2000,
            10_000,
            "psi",
            4,
            "4 psi is too small; at least 2000 psi. Typed in ksi? That would be 4000 psi.",
        ),
        (0.5, 100, "kW", 12_000, "12000 kW is too large; at most 100 kW. Typed in W? That would be 12 kW."),
        (1, 8, "ft", 1e9, "1,000,000,000 ft is too large; at most 8 ft."),
    ],
)
def test_another_unit_is_asked_for_where_the_figure_would_fit_it(low, high, unit, value, words):
    with pytest.raises(ValidationError) as refused:
        WithinRange(low, high, unit)(value)
    assert refused.value.messages == [words]


@pytest.mark.parametrize("words", ["Ø 6 in, 雪, ½ é", "two\nlines\tand a tab", "🙂", "مرحبا"])
def test_words_in_any_letters_are_taken(words):
    plain_words(words)


@pytest.mark.parametrize("words", ["a\x00", "\x07", "\x1b[31m", "\x7f", "\x85", "\ud800"])
def test_words_that_cannot_be_printed_are_not(words):
    with pytest.raises(ValidationError, match="cannot be printed"):
        plain_words(words)
