"""The HTML of a paper from its frozen inputs alone: what is printed can be printed again."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from django.template.loader import render_to_string

from installs.drafting.gauge import gauge_svg
from installs.papers.freezing import thawed
from sitecalc.checks import ORDER, Known, Verdict
from sitecalc.wording import day_words, unit_words

TITLE_SHEET, EQUIPMENT_SHEET, APPENDIX = "G-1", "G-2", "K"
MOST_HEADS = 4  # columns of a table that still stands in half a page


SEALED = "sealed"  # the place of the engineer's own pages among the parts


def documents(inputs: Mapping[str, Any]) -> list[tuple[str, str]]:
    """(what is being set, HTML) for each part of the paper: the sheets, then the calculation appendix.

    Where sheets were sealed they stand in place of ours: ``("", SEALED)`` among the others.
    """
    paper = thawed(dict(inputs))
    sheets = all_sheets(paper)
    sealed = sealed_numbers(paper)
    first = next((i for i, sheet in enumerate(sheets) if sheet["number"] in sealed), len(sheets))
    groups = [sheets[:first], [sheet for sheet in sheets[first:] if sheet["number"] not in sealed]]
    context = {
        "paper": paper,
        "count": len(sheets),
        "first_open": _first_open([sheet for group in groups for sheet in group]),
        "status": status(paper, APPENDIX),
        "cites": cites(paper),
        "cites_short": cites(paper).replace(" release ", " "),
        "sources": sources(paper),
    }
    made: list[tuple[str, str]] = [
        ("Setting the sheets", render_to_string("installs/papers/sheets.html", {**context, "sheets": group}))
        for group in groups
        if group
    ]
    if sealed:
        made.insert(1 if groups[0] else 0, ("", SEALED))
    if paper["appendix"]:
        appendix = {**context, "releases": [_with_worked_checks(r) for r in paper["releases"]]}
        made.append(("Setting the calculations", render_to_string("installs/papers/appendix.html", appendix)))
    return made


def _first_open(sheets: list[dict[str, Any]]) -> int:
    """Place of the first sheet of ours that is no card: over it stand the open points."""
    return next((sheet["place"] for sheet in sheets[:2] if sheet["size"] != "card"), 0)


def all_sheets(paper: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The sheets in their order with their bodies as HTML; title sheet and equipment list are ours."""
    sheets = [{**sheet, "size": sheet["context"].get("size", paper["size"])} for sheet in paper["sheets"]]
    if paper["title_sheet"]:
        sheets.insert(0, _own(TITLE_SHEET, "Title sheet and index", "_title", paper))
    if paper["equipment"]:
        sheets.append(_own(EQUIPMENT_SHEET, "Equipment list", "_equipment", paper))
    for place, sheet in enumerate(sheets, start=1):
        sheet["place"] = place
    common = {
        "paper": paper,
        "index": sheets,
        "sources": sources(paper),
        "accepted": accepted(paper),
    }
    sealed = sealed_numbers(paper)
    for sheet in sheets:
        sheet["status"] = status(paper, sheet["number"])
        sheet["sealed"] = sheet["number"] in sealed
        sheet["seal_of_all"] = bool(paper["seal"]) and "sheets" not in paper["seal"]
    for sheet in sheets:
        if sheet["sealed"]:
            sheet["body"] = ""
            continue
        checks = worst_first(sheet["context"].get("checks") or [])
        body = {
            **common,
            **sheet["context"],
            "status": sheet["status"],
            "checks": checks,
            "job": paper["job"],
            "firm": paper["firm"],
        }
        sheet["body"] = render_to_string(sheet["template"], body)
    return sheets


def _own(number: str, title: str, template: str, paper: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "number": number,
        "title": title,
        "template": f"installs/papers/{template}.html",
        "part": "",
        "size": paper["size"],
        "context": {"title": title},
    }


def cites(paper: Mapping[str, Any]) -> str:
    """ "foundation release B, tower release A" """
    return ", ".join(
        f"{release['title'].lower()} release {release['letter']}" for release in paper["releases"]
    )


def sheets_of(inputs: Mapping[str, Any]) -> list[tuple[str, str]]:
    """(number, title) of every sheet of a paper, in its order."""
    ours = [(sheet["number"], sheet["title"]) for sheet in inputs["sheets"]]
    before = [(TITLE_SHEET, "Title sheet and index")] if inputs["title_sheet"] else []
    behind = [(EQUIPMENT_SHEET, "Equipment list")] if inputs["equipment"] else []
    return [*before, *ours, *behind]


def sealed_numbers(paper: Mapping[str, Any]) -> frozenset[str]:
    """Numbers of the sheets that stand sealed in the paper, in place of ours."""
    return frozenset((paper["seal"] or {}).get("sheets", ()))


NOT_SEALED = "For the engineer’s review. Not sealed."


def status(paper: Mapping[str, Any], number: str = "") -> str:
    """Whether a sheet may be built from, in words: a seal is named only on the sheet that bears it.

    A paper from before it was asked which sheets bear the seal says on all of them what it said then.
    """
    seal = paper["seal"] or paper["sealed_in"]
    if not seal:
        return NOT_SEALED
    if "sheets" in seal:
        if number == TITLE_SHEET and paper["seal"]:
            return _which_sealed(seal)
        if number not in seal["sheets"]:
            return NOT_SEALED
    day = seal["sealed_on"]
    by = f"by {seal['engineer']}, {day_words(day, year=True)}"
    return f"Sealed {by}; the sealed sheets are bound in." if paper["seal"] else f"In the set sealed {by}."


def _which_sealed(seal: Mapping[str, Any]) -> str:
    day = day_words(seal["sealed_on"], year=True)
    if not seal["sheets"]:
        return f"Sheets sealed by {seal['engineer']}, {day}, are bound in behind. This sheet is not sealed."
    listed = ", ".join(seal["sheets"])
    return f"{listed} sealed by {seal['engineer']}, {day}, in their places. The other sheets are not sealed."


def sources(paper: Mapping[str, Any]) -> list[str]:
    """Title and edition of everything the checks cite, once each, without the clauses."""
    checks = [check for release in paper["releases"] for check in release["checks"]]
    found = {document_of(check["source"]) for check in checks if check["known"] != Known.PRACTICE}
    return sorted(found - {""}, key=str.lower)


def document_of(source: str) -> str:
    """ "ACI 318-19" of "ACI 318-19, 22.5.5.1", "NEC 2023" of "NEC 2023 Table 310.16" """
    return re.split(r"[,;:]\s|\s(?:[Tt]able|[Cc]hapter|[Ss]ection)s?\s|\s[A-Z]?\d+\.\d", source)[0].strip()


def accepted(paper: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Checks that fail or are not checked, each with the engineer's acceptance."""
    return [
        {"release": release, "check": check, "acceptance": release["acceptances"].get(check["key"])}
        for release in paper["releases"]
        for check in worst_first(release["checks"])
        if Verdict(check["verdict"]).needs_answer
    ]


def worst_first(checks: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Frozen checks as sitecalc.checks.worst_first orders them, with source as printed and gauge."""
    ranked = sorted(checks, key=lambda c: (ORDER[Verdict(c["verdict"])], -(c["ratio"] or 0.0), c["title"]))
    return [
        {
            **check,
            "source_note": source_note(check),
            "gauge": gauge(check),
            "unit": unit_words(check["unit"]),
            "steps": [{**step, "unit": unit_words(step["unit"])} for step in check["steps"]],
        }
        for check in ranked
    ]


def source_note(check: Mapping[str, Any]) -> str:
    return Known(check["known"]).beside(check["source"])


def gauge(check: Mapping[str, Any]) -> str:
    ratio = check["ratio"]
    if ratio is None and check["verdict"] == Verdict.FAILS:
        ratio = float("inf")  # demand without any capacity: JSON has no infinity
    return gauge_svg(ratio, check["title"], verdict=check["verdict"], for_print=True)


def _with_worked_checks(release: dict[str, Any]) -> dict[str, Any]:
    checks = worst_first(release["checks"])
    for check in checks:
        check["acceptance"] = release["acceptances"].get(check["key"])
    wide = [
        figure for figure in release["figures"] if len(figure.get("rows", {}).get("heads", ())) > MOST_HEADS
    ]
    narrow = [figure for figure in release["figures"] if figure not in wide]
    return {**release, "checks": checks, "narrow": narrow, "wide": wide}
