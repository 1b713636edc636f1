"""What the look at a drawing's words finds, on drawings made for it: a word under a line or under paint."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

from tests.browser.conftest import PATIENCE_MS
from tests.browser.test_every_page import drawn_faults

pytestmark = pytest.mark.browser

SHEET = '<svg width="300" height="120" font-size="12" font-family="sans-serif">{}</svg>'
LINE = '<path d="M10 50H290" stroke="black"/>'
WORD = '<text x="100" y="54">420 ft</text>'
BLANK = '<polygon points="96,40 140,40 140,60 96,60" fill="white"/>'


@pytest.fixture(scope="module")
def faults(chromium: Browser):
    page = chromium.new_page()
    page.set_default_timeout(PATIENCE_MS)

    def found(*drawn: str) -> list[str]:
        page.set_content(SHEET.format("".join(drawn)))
        return drawn_faults(page)

    yield found
    page.close()


STRUCK, HIDDEN = "“420 ft” is struck through by a line", "“420 ft” is painted over"


@pytest.mark.parametrize(
    "line",
    [
        LINE,
        '<path d="M10 10H40M10 50H290" stroke="black"/>',
        '<line x1="120" y1="0" x2="120" y2="120" stroke="black"/>',
        '<circle cx="120" cy="90" r="40" stroke="black" fill="none"/>',
        '<g transform="rotate(20)"><path d="M20 10.5H420" stroke="black"/></g>',
    ],
)
def test_a_line_through_a_word_is_found_before_it_and_over_it(faults, line: str) -> None:
    assert faults(line, WORD) == [STRUCK] == faults(WORD, line)


def test_a_line_beside_a_word_strikes_nothing(faults) -> None:
    assert faults('<path d="M10 62H290M10 40H290" stroke="black"/>', WORD) == []


def test_a_word_clears_its_ground_of_the_lines_under_it_alone(faults) -> None:
    assert faults(LINE, BLANK, WORD) == []
    assert faults(BLANK, LINE, WORD) == [STRUCK] == faults(BLANK, WORD, LINE)


def test_a_word_is_struck_through_or_stands_on_a_rule_where_the_drawing_says_so(faults) -> None:
    assert faults(WORD, f'<g class="layer-strike">{LINE}</g>') == []
    assert faults(f'<g class="layer-under">{LINE}</g>', WORD) == []


def test_a_word_that_was_painted_over_is_found(faults) -> None:
    assert faults(WORD, '<rect x="125" y="40" width="60" height="30" fill="white"/>') == [HIDDEN]


def test_a_drawing_is_found_struck_each_time_it_is_looked_at_and_clean_once(faults) -> None:
    assert [faults(LINE, WORD) for _ in range(2)] == [[STRUCK], [STRUCK]]
    clean = '<path d="M10 90H290" stroke="black"/>'
    assert [faults(clean, WORD) for _ in range(2)] == [[], []]
    assert faults(clean, WORD, LINE) == [STRUCK]


def test_no_line_is_seen_that_is_not_drawn(faults) -> None:
    assert faults('<path d="M10 50H290" stroke="none" fill="none"/>', WORD) == []
