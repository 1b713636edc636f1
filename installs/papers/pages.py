"""The HTML of a paper from its frozen inputs alone: what is printed can be printed again."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from django.template.loader import render_to_string

from installs.checklists.heads import printed_line
from installs.drafting.gauge import gauge_svg
from installs.papers.freezing import thawed
from installs.papers.models import PaperKind
from sitecalc.checks import ORDER, Known, Verdict
from sitecalc.wording import day_words, unit_words

TITLE_SHEET, EQUIPMENT_SHEET, APPENDIX = "G-1", "G-2", "K"
MOST_HEADS = 4  # columns of a table that still stands in half a page


SEALED = "sealed"  # the place of the engineer's own pages among the parts


def documents(inputs: Mapping[str, Any]) -> list[tuple[str, str]]:
    """(what is being set, HTML) for each part of the paper: sheet by sheet, then the calculation appendix.

    A sheet is a document of its own, so that it counts its own pages. Where sheets were sealed they stand in
    place of ours: ``("", SEALED)`` among the others.
    """
    paper = with_paper_units(thawed(dict(inputs)))
    paper["record"] = printed_line(paper["heads"]) if "heads" in paper else ""
    sheets = all_sheets(paper)
    sealed = sealed_numbers(paper)
    first = next((i for i, sheet in enumerate(sheets) if sheet["number"] in sealed), len(sheets))
    ours = [sheet for sheet in sheets if sheet["number"] not in sealed]
    context = {
        "paper": paper,
        "count": len(sheets),
        "first_open": _first_open(ours),
        # a sheet of deviations is a list of them: the same ones are not said over it
        "deviations": [] if paper["kind"] == PaperKind.DEVIATION_SHEET else paper["deviations"],
        "status": status(paper, APPENDIX),
        "cites": cites(paper),
        "cites_short": cites(paper).replace(" release ", " "),
        "sources": sources(paper),
    }
    made: list[tuple[str, str]] = [
        (
            f"Setting sheet {sheet['number']}",
            render_to_string("installs/papers/sheet.html", {**context, "sheet": sheet}),
        )
        for sheet in ours
    ]
    if sealed:
        made.insert(first, ("", SEALED))
    if paper["appendix"]:
        below = f"\n{paper['record']}" if paper["record"] else ""  # on a line of its own
        worked = [_with_worked_checks(release) for release in paper["releases"]]
        appendix = {**context, "below": below, "releases": worked}
        made.append(("Setting the calculations", render_to_string("installs/papers/appendix.html", appendix)))
    return made


def letters(inputs: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The engineers' letters behind the paper, each once; none of a paper from before they were bound in."""
    every = (letter for release in inputs["releases"] for letter in release.get("letters", ()))
    return list({letter["sha256"]: letter for letter in every}.values())


def letter_page(letter: Mapping[str, Any], picture: str) -> str:
    """A letter that came as a photo, or that cannot be bound, on a page of its own."""
    return render_to_string("installs/papers/letter.html", {"letter": letter, "picture": picture})


def with_paper_units(paper: dict[str, Any]) -> dict[str, Any]:
    """Lists of figures and of equipment in the units of paper, those of sheets frozen long ago as well."""
    sheets = [
        {**sheet, "context": {**sheet["context"], "figures": figures_on_paper(sheet["context"]["figures"])}}
        if sheet["context"].get("figures")
        else sheet
        for sheet in paper["sheets"]
    ]
    releases = [{**each, "figures": figures_on_paper(each["figures"])} for each in paper["releases"]]
    equipment = [{**line, "unit": unit_words(line["unit"])} for line in paper["equipment"]]
    return {**paper, "sheets": sheets, "releases": releases, "equipment": equipment}


def figures_on_paper(figures: Iterable[Mapping[str, Any]]) -> list[dict[str, Any]]:
    return [
        {**figure, "unit": unit_words(figure["unit"])}
        | (
            {"rows": {**figure["rows"], "heads": [unit_words(head) for head in figure["rows"]["heads"]]}}
            if "rows" in figure
            else {}
        )
        for figure in figures
    ]


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
        "letters": letters(paper),
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


# true of the sheet as we print it and of the same one once the engineer has put a seal on it
NOT_SEALED = "For the engineer’s review. Sealed only where it bears a seal."


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


# bodies whose documents have a designation of their own; a check may name several
BODIES = "ACI|AISC(?: Design Guide)?|ANSI|ASCE|ASME|ASTM|AWEA|IEC|IEEE|NEC|RCSC|SAE|TIA|UL|USACE EM"
DESIGNATION = re.compile(
    rf"\b(?:{BODIES})[ -](?=[A-Z]{{0,2}}\d)[\w-]+(?:\.\d[\w-]*)?"
    r"|\bIBC(?: 20\d\d)?\b|\bIFI Fastener Standards\b|\b\d+ CFR\b"
)
# what every textbook has is a method, no document
METHODS = re.compile(r"textbook|any text\b|=")


def sources(paper: Mapping[str, Any]) -> list[str]:
    """Title and edition of everything the checks cite, once each, without the clauses."""
    checks = [check for release in paper["releases"] for check in release["checks"]]
    found = {
        document
        for check in checks
        if check["known"] != Known.PRACTICE
        for document in documents_of(check["source"])
    }
    return sorted(found, key=str.lower)


def documents_of(source: str) -> list[str]:
    """["SAE J429", "IFI Fastener Standards"]; of a title that no body numbers what is before its clause."""
    if found := DESIGNATION.findall(source):
        return list(found)
    title = document_of(source)
    return [title] if title[:1].isupper() and not METHODS.search(source) else []


def document_of(source: str) -> str:
    """ "Open Energy Information" of "Open Energy Information, Small Wind guidebooks" """
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
            "note": unit_words(check["note"]),
            "source_note": unit_words(source_note(check)),
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
