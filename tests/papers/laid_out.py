"""A sheet as the press lays it out: which rows it has, how high they are, which page they stand on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from installs.papers.pages import documents
from installs.papers.printing import static_roots

INCH = 96.0


def laid_out(inputs: Mapping[str, Any], title: str, *, tight: bool = False) -> Any:
    """The document of the sheets whose body names ``title``, set as the press sets it."""
    from weasyprint import HTML

    root = next(static_roots())
    html = next(
        html for _said, html in documents(inputs) if f">{title}" in " ".join(html.split()).replace("> ", ">")
    )
    if tight:
        html = html.replace("<body>", '<body class="tight">', 1)
    return HTML(string=html, base_url=f"{root.as_uri()}/").render()


def rows_to_write(document: Any) -> Iterator[tuple[int, float]]:
    """(page, height in inches) of each row that is left to write on."""
    for number, page in enumerate(document.pages, 1):
        for box in page._page_box.descendants():
            if box.element_tag == "tr" and "write" in (box.element.get("class") or "").split():
                yield number, box.height / INCH
