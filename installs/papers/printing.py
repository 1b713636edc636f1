"""From a paper's frozen inputs to its PDF: HTML here, the PDF in a process of its own (press.py)."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from base64 import b64encode
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError

from installs.files.keeping import read_bytes
from installs.files.models import StoredFile
from installs.files.services import pages_of
from installs.files.storage import PRESS
from installs.papers.models import Paper
from installs.papers.pages import SEALED, documents, letter_page, letters
from installs.work.runner import WorkFailed

LIMIT_S = 300
SECRETS = ("SECRET_KEY", "DATABASE_URL", "REDIS_URL", "STORAGE_", "PASSWORD")
Progress = Callable[[str, float], None]


@dataclass(frozen=True)
class Printed:
    content: bytes
    pages: int


def printed(paper: Paper, progress: Progress) -> Printed:
    """The paper's PDF. WorkFailed says in words why it cannot be printed."""
    progress("Setting the sheets", 0.05)
    pages = documents(paper.inputs)
    with TemporaryDirectory(prefix=PRESS) as name:
        folder = Path(name)
        parts = []
        place = next((i for i, (_said, html) in enumerate(pages) if html == SEALED), None)
        set_by_us = [part for part in pages if part[1] != SEALED]
        for index, (said, html) in enumerate(set_by_us):
            (folder / f"{index}.html").write_text(html, encoding="utf-8")
            parts.append({"html": f"{index}.html", "said": said})
        bound = []
        if paper.seal:
            (folder / "sealed.pdf").write_bytes(read_bytes(paper.seal.file))
            bound.append("sealed.pdf")
        last = _letters(paper, folder, parts)
        order = {
            "parts": parts,
            "last": last,
            "last_title": "Engineer’s written word",
            "bound": bound,
            "bound_title": " ".join(
                ["Sealed sheets", ", ".join((paper.inputs["seal"] or {}).get("sheets", ()))]
            ),
            "bound_before": place if paper.seal else None,
            "title": f"{paper.inputs['title']} {paper.letter}, {paper.inputs['job']['number']}",
            "author": (paper.inputs.get("firm") or {}).get("name", ""),
            "static": [str(path) for path in static_roots()],
        }
        (folder / "order.json").write_text(json.dumps(order), encoding="utf-8")
        count = run_press(folder, int(paper.ordered_at.timestamp()), progress)
        return Printed((folder / "paper.pdf").read_bytes(), count)


def _letters(paper: Paper, folder: Path, parts: list[dict[str, str]]) -> list[str]:
    """Write the engineers' letters into the folder: those that are PDFs are bound as they came, in their
    order; a picture, or one that cannot be bound, is a page of its own before them."""
    bound = []
    for place, letter in enumerate(letters(paper.inputs)):
        kept = StoredFile.objects.filter(sha256=letter["sha256"]).first()
        content = read_bytes(kept) if kept else b""
        if kept and kept.content_type == "application/pdf" and _binds(content):
            bound.append(f"letter-{place}.pdf")
            (folder / bound[-1]).write_bytes(content)
            continue
        picture = ""
        if kept and kept.content_type.startswith("image/"):
            picture = f"data:{kept.content_type};base64,{b64encode(content).decode()}"
        (folder / f"letter-{place}.html").write_text(letter_page(letter, picture), encoding="utf-8")
        parts.append({"html": f"letter-{place}.html", "said": "Setting a letter"})
    return bound


def _binds(content: bytes) -> bool:
    try:
        return pages_of(content) > 0
    except ValidationError:
        return False


def static_roots() -> Iterator[Path]:
    """Where style sheets and fonts lie: as collected, else in the source tree."""
    for root in (settings.STATIC_ROOT, *settings.STATICFILES_DIRS):
        if (Path(root) / "installs" / "paper.css").is_file():
            yield Path(root).resolve()


def run_press(folder: Path, epoch: int, progress: Progress) -> int:
    """Run the press in ``folder``; the number of pages. Its clock is the paper's own date."""
    environment = {name: value for name, value in os.environ.items() if not name.startswith(SECRETS)}
    environment |= {"SOURCE_DATE_EPOCH": str(epoch), "PYTHONHASHSEED": "0"}
    environment["PYTHONPATH"] = os.pathsep.join(
        filter(None, [str(settings.BASE_DIR), environment.get("PYTHONPATH", "")])
    )
    with (folder / "trouble.txt").open("w+", encoding="utf-8") as trouble:
        press = subprocess.Popen(
            [sys.executable, "-m", "installs.papers.press", str(folder)],
            stdout=subprocess.PIPE,
            stderr=trouble,
            text=True,
            env=environment,
            cwd=folder,
        )
        over_time = threading.Timer(LIMIT_S, press.kill)
        over_time.start()
        try:
            count = _followed(press, progress)
            status = press.wait()
        finally:
            stopped = over_time.finished.is_set()
            over_time.cancel()
            if press.poll() is None:
                press.kill()
                press.wait()
            assert press.stdout is not None
            press.stdout.close()
        if status == 0 and count:
            return count
        if stopped:
            raise WorkFailed(f"Printing took longer than {LIMIT_S // 60} minutes and was stopped.")
        trouble.seek(0)
        last = (trouble.read().strip().splitlines() or ["the press ended without a word"])[-1]
        raise WorkFailed(f"The paper could not be printed: {last[:600]}")


def _followed(press: subprocess.Popen[str], progress: Progress) -> int:
    """Hand on the press's progress lines until it ends; the page count it gives last, 0 if none."""
    count = 0
    assert press.stdout is not None
    for line in press.stdout:
        told: dict[str, Any] = json.loads(line)
        if "pages" in told:
            count = int(told["pages"])
        else:
            progress(told["said"], told["share"])
    return count
