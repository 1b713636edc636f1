"""What a formatter cannot see of a template: sentences keep their punctuation, faults their field."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.template.loader import get_template

ROOT = Path(__file__).resolve().parents[2]
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
STATIC = ROOT / "static" / "installs"
READ_BY_PEOPLE = [*TEMPLATES, *sorted(STATIC.glob("*.css")), *sorted(STATIC.glob("*.js"))]
LONGEST_LINE = 120

# white space, then a branch that begins with a comma: "Ben Aune , tentative"
SPACE_BEFORE_COMMA = re.compile(r"\s\{%\s*(?:if|for|with)\b(?:(?!%\}).)*%\}\s*[,.;:]")
PARAGRAPH = re.compile(r"<p\b(?:(?!</p>).)*</p>", re.DOTALL)
FAULTS = re.compile(r"\{\{\s*[\w.]*errors\s*\}\}")


def lines_of(text: str, found: re.Pattern[str]) -> list[int]:
    return [text.count("\n", 0, match.start()) + 1 for match in found.finditer(text)]


@pytest.mark.parametrize("path", READ_BY_PEOPLE, ids=lambda path: path.name)
def test_no_line_is_longer_than_120_characters(path: Path) -> None:
    lines = path.read_text(encoding="utf-8").splitlines()
    assert [n for n, line in enumerate(lines, start=1) if len(line) > LONGEST_LINE] == []


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_a_template_knows_every_tag_and_filter_it_uses(path: Path) -> None:
    assert get_template(str(path.relative_to(ROOT / "templates")))


def test_no_comma_of_a_sentence_stands_behind_a_space() -> None:
    """A branch after a branch is set on a line of its own: words with their comma go through ``led_by``."""
    found = {
        str(p.relative_to(ROOT)): lines_of(p.read_text(encoding="utf-8"), SPACE_BEFORE_COMMA)
        for p in TEMPLATES
    }
    assert {name: lines for name, lines in found.items() if lines} == {}


def test_no_list_of_faults_stands_in_a_paragraph() -> None:
    """HTML Living Standard, 4.4.1: a p holds no list; a browser ends it there, and faults fall out of it."""
    found = {
        str(p.relative_to(ROOT)): [
            m.start() for m in PARAGRAPH.finditer(p.read_text(encoding="utf-8")) if FAULTS.search(m[0])
        ]
        for p in TEMPLATES
    }
    assert {name: places for name, places in found.items() if places} == {}


@pytest.mark.parametrize(
    ("text", "stands_behind_a_space"),
    [
        ("{{ a }}\n  {% if b %}, c{% endif %}", True),
        ("{{ a }}{% if b %}, c{% endif %}", False),
        ("{{ a }} {% if b %}and c{% endif %}", False),
    ],
)
def test_the_comma_is_found(text: str, stands_behind_a_space: bool) -> None:
    assert bool(SPACE_BEFORE_COMMA.search(text)) == stands_behind_a_space
