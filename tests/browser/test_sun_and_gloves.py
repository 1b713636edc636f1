"""Phone pages as they are drawn: size of targets and of letters, contrast by day and by night."""

from __future__ import annotations

import pytest
from django.urls import reverse

pytestmark = [pytest.mark.browser, pytest.mark.slow]

LIST = "forming"
TARGETS = """() => [...document.querySelectorAll(
    "main button, .foot button, .button, summary, .items > li > a, .work ul a, label:has(> [type=checkbox])")]
  .filter(target => target.checkVisibility())
  .map(target => [target.innerText.trim().slice(0, 40), target.getBoundingClientRect().height,
                  Boolean(target.dataset.key)])"""
LETTERS = """() => {
  const size = (node) => {
    const drawn = node.closest("svg"), px = parseFloat(getComputedStyle(node).fontSize);
    return drawn ? px * drawn.getBoundingClientRect().width / drawn.viewBox.baseVal.width : px;
  };
  return [...document.body.querySelectorAll("*")]
    .filter(node => node.checkVisibility())
    .filter(node => [...node.childNodes].some(n => n.nodeType === 3 && n.data.trim()))
    .map(node => [node.textContent.trim().slice(0, 40), size(node)]);
}"""
COLORS = """() => {
  const ground = (node) => {
    for (let at = node; at; at = at.parentElement) {
      const color = getComputedStyle(at).backgroundColor;
      if (color !== "rgba(0, 0, 0, 0)") return color;
    }
    return getComputedStyle(document.documentElement).backgroundColor;
  };
  return [...document.body.querySelectorAll("*:not(svg *)")]
    .filter(node => node.checkVisibility())
    .filter(node => [...node.childNodes].some(n => n.nodeType === 3 && n.data.trim()))
    .map(node => [node.textContent.trim().slice(0, 40), getComputedStyle(node).color, ground(node)]);
}"""


def pages(site) -> list[str]:
    """Day sheet, a list of each kind of item, pour card, a figure of it, torque log, its check, emergency."""
    empty, tower = site.job("Juniper Rural Water").number, site.job("Aasen Dairy").number
    lists = [
        reverse("phone-list", args=[empty, LIST]) + f"?item={code}" for code in ("C02", "C07", "C09", "C10")
    ]
    card = reverse("pour-card", args=[tower])
    return [
        reverse("day-sheet"),
        *lists,
        card,
        card + "?truck=6&code=D03",
        reverse("torque-log", args=[tower]),
        reverse("emergency-card", args=[tower]),
        reverse("stop-work", args=[tower]),
        reverse("torque-log", args=[site.job("Harrow School District").number]),
    ]


def test_targets_are_made_for_gloves(site) -> None:
    page = site.page("ben", has_touch=True)
    small = []
    for path in pages(site):
        page.goto(path)
        for words, height, is_key in page.evaluate(TARGETS):
            if height < (96 if is_key else 72):
                small.append(f"{path}: {words}, {height:.0f} px")
    assert "\n".join(small) == ""


def test_letters_are_large_enough_to_read_outdoors(site) -> None:
    page = site.page("ben", has_touch=True)
    small = []
    for path in pages(site):
        page.goto(path)
        small += [f"{path}: {words}, {px:.1f} px" for words, px in page.evaluate(LETTERS) if px < 15.9]
    assert "\n".join(small) == ""


def luminance(color: str) -> float:
    """Relative luminance of "rgb(27, 34, 39)". WCAG 2.2, definition "relative luminance"."""
    parts = [int(part) / 255 for part in color.removeprefix("rgb(").removesuffix(")").split(",")]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """WCAG 2.2, definition "contrast ratio"."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_ratio_of_black_on_white_is_21() -> None:
    """WCAG 2.2, definition "contrast ratio": 1 to 21."""
    assert contrast("rgb(0, 0, 0)", "rgb(255, 255, 255)") == pytest.approx(21)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_text_is_legible_in_the_sun_and_at_night(site, scheme: str) -> None:
    """WCAG 2.2, success criterion 1.4.6: at least 7 to 1."""
    page = site.page("ben", color_scheme=scheme)
    faint = []
    for path in pages(site):
        page.goto(path)
        for words, ink, ground in page.evaluate(COLORS):
            if contrast(ink, ground) < 7:
                faint.append(f"{path}: {words}, {ink} on {ground}")
    assert "\n".join(faint) == ""


LETTERS_AND_BLANKS = """() => {
  const fills = (what) => [...document.querySelectorAll(what)].map((each) => getComputedStyle(each).fill);
  return [fills('.card-drawing text'), fills('.card-drawing .blank')];
}"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("which", ["tower", "turbine"])
def test_the_lift_cards_drawings_are_legible_at_night(site, scheme: str, which: str) -> None:
    """What clears the ground under a text stays lighter than the text. WCAG 2.2, 1.4.6: at least 7 to 1."""
    page = site.page("ben", color_scheme=scheme)
    page.goto(reverse("lift-card", args=[site.job("Harrow School District").number, which]))
    letters, blanks = page.evaluate(LETTERS_AND_BLANKS)
    assert letters and blanks
    assert min(contrast(ink, ground) for ink in letters for ground in blanks) >= 7
