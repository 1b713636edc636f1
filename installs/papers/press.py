"""The press: HTML files to one PDF, in a process of its own.

    python -m installs.papers.press FOLDER

FOLDER holds order.json (parts, bound PDFs, title, static roots) and gets paper.pdf. SOURCE_DATE_EPOCH stands
for the clock, so that the same order gives the same bytes. Nothing is fetched but data: URLs and files below
the static roots. One JSON line for each step goes to standard output, the number of pages last. Trouble: exit
1, one line.
"""

from __future__ import annotations

import json
import logging
import os
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit


class CannotPrint(Exception):
    """Said in one line to whoever ordered the paper."""


def say(**told: Any) -> None:
    print(json.dumps(told), flush=True)


def static_fetcher(roots: list[Path]) -> Any:
    from weasyprint.urls import URLFetcher

    class StaticOnly(URLFetcher):  # type: ignore[misc]  # weasyprint has no types
        def fetch(self, url: str, headers: Any = None) -> Any:
            if urlsplit(url).scheme == "file":
                path = Path(unquote(urlsplit(url).path)).resolve()
                if not any(path.is_relative_to(root) for root in roots):
                    raise ValueError(f"not one of our own files: {url}")
            return super().fetch(url, headers)

    return StaticOnly(allowed_protocols=("data", "file"), allow_redirects=False)


class Complaints(logging.Handler):
    """What the engine could not load would be missing on the paper."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.failed: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        said = record.getMessage()
        if record.levelno >= logging.ERROR or "Failed to load" in said:
            self.failed.append(said)


LOOSE, TIGHT = "<body>", '<body class="tight">'


def fewest_pages(html: str, laid_out: Callable[[str], Any]) -> Any:
    """The document as it is set, or with its rows closer where that saves a page.

    A line or two that do not fit would stand on a page of their own. The calculations, whose body has a
    class of its own, are set once.
    """
    document = laid_out(html)
    if len(document.pages) == 1 or LOOSE not in html:
        return document
    closer = laid_out(html.replace(LOOSE, TIGHT, 1))
    return closer if len(closer.pages) < len(document.pages) else document


def set_parts(folder: Path, order: dict[str, Any]) -> list[Path]:
    """One PDF for each HTML part."""
    from weasyprint import HTML
    from weasyprint.text.fonts import FontConfiguration

    complaints = Complaints()
    engine_log = logging.getLogger("weasyprint")
    engine_log.handlers = [complaints]
    roots = [Path(root) for root in order["static"]]
    if not roots:
        raise CannotPrint("the paper's style sheet is not among the static files")
    fonts, made = FontConfiguration(), []
    for index, part in enumerate(order["parts"]):
        say(said=part["said"], share=0.1 + 0.75 * index / len(order["parts"]))
        text = (folder / part["html"]).read_text(encoding="utf-8")

        def laid_out(html: str) -> Any:
            page = HTML(string=html, base_url=roots[0].as_uri() + "/", url_fetcher=static_fetcher(roots))
            return page.render(font_config=fonts)

        target = folder / f"part-{index}.pdf"
        fewest_pages(text, laid_out).write_pdf(target)
        if complaints.failed:
            raise CannotPrint(complaints.failed[0])
        made.append(target)
    return made


def bind(parts: list[Path], order: dict[str, Any], folder: Path, printed_at: datetime) -> int:
    """All parts and the sealed sheets, behind them or before the part that is named, letters last; the number
    of pages."""
    from pypdf import PdfReader, PdfWriter
    from pypdf.errors import PyPdfError

    writer = PdfWriter()

    def named(key: str) -> list[tuple[Path, str | None]]:
        """What others set, each under a bookmark of ours: it may have none."""
        return [(folder / name, order.get(f"{key}_title")) for name in order.get(key, ())]

    place = order.get("bound_before")
    ours: list[tuple[Path, str | None]] = [(path, None) for path in parts]
    before, behind = (ours, []) if place is None else (ours[:place], ours[place:])
    for path, bookmark in [*before, *named("bound"), *behind, *named("last")]:
        try:
            writer.append(PdfReader(path), outline_item=bookmark)
        except (PyPdfError, ValueError, KeyError, TypeError) as error:
            raise CannotPrint(f"{path.stem} cannot be bound: {error}") from error
    writer.add_metadata(
        {
            "/Title": order["title"],
            "/Author": order["author"],
            "/Creator": "Mastwright",
            "/CreationDate": f"D:{printed_at:%Y%m%d%H%M%S}Z",
        }
    )
    writer.compress_identical_objects(remove_duplicates=True, remove_unreferenced=True)
    writer.write(folder / "paper.pdf")
    return len(writer.pages)


def main(folder: Path) -> int:
    printed_at = datetime.fromtimestamp(int(os.environ["SOURCE_DATE_EPOCH"]), UTC)
    order = json.loads((folder / "order.json").read_text(encoding="utf-8"))
    try:
        parts = set_parts(folder, order)
        say(said="Binding", share=0.92)
        say(pages=bind(parts, order, folder, printed_at))
    except CannotPrint as error:
        print(error, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    raise SystemExit(main(Path(sys.argv[1]).resolve()))
