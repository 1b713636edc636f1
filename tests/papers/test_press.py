"""The press fetches nothing but our own static files, and repeats itself byte for byte."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from pypdf import PdfReader

ROOT = Path(__file__).resolve().parents[2]


def press(
    folder: Path, html: str, epoch: int = 1_940_000_000, static: Path | None = None
) -> subprocess.CompletedProcess[str]:
    (folder / "0.html").write_text(html)
    order = {
        "parts": [{"html": "0.html", "said": "Setting"}],
        "bound": [],
        "title": "Paper",
        "author": "Firm",
        "static": [str(static or ROOT / "static")],
    }
    (folder / "order.json").write_text(json.dumps(order))
    return subprocess.run(
        [sys.executable, "-m", "installs.papers.press", str(folder)],
        env={**os.environ, "SOURCE_DATE_EPOCH": "1940000000", "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
    )


STYLE = '<link rel="stylesheet" href="installs/paper.css">'
SHEET = f'<html lang="en">{STYLE}<section class="sheet letter"><p>16 ft 6 in</p></section>'


def test_the_same_order_is_the_same_bytes_in_another_process(tmp_path):
    found = []
    for name in ("one", "two"):
        folder = tmp_path / name
        folder.mkdir()
        assert press(folder, SHEET).returncode == 0
        found.append(hashlib.sha256((folder / "paper.pdf").read_bytes()).hexdigest())
    assert found[0] == found[1]


def test_it_tells_its_steps_and_its_pages(tmp_path):
    told = [json.loads(line) for line in press(tmp_path, SHEET).stdout.splitlines()]
    assert told[0]["said"] == "Setting" and told[-1] == {"pages": 1}
    assert [line["share"] for line in told[:-1]] == sorted(line["share"] for line in told[:-1])


@pytest.mark.parametrize(
    "address",
    ["file:///etc/hostname", "http://127.0.0.1:9/x.png", "../pyproject.toml"],
)
def test_nothing_else_is_fetched(tmp_path, address):
    done = press(tmp_path, SHEET + f'<img src="{address}">')
    assert done.returncode == 1 and "Failed to load" in done.stderr
    assert not (tmp_path / "paper.pdf").exists() and "Traceback" not in done.stderr


def test_a_link_out_of_the_static_files_is_not_followed(tmp_path):
    static = tmp_path / "static"
    (static / "installs").mkdir(parents=True)
    (static / "installs" / "paper.css").write_text("")
    (static / "picture.svg").symlink_to("/etc/hostname")
    assert press(tmp_path, SHEET + '<img src="picture.svg">', static=static).returncode == 1


def test_a_data_picture_is_printed(tmp_path):
    dot = "data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg' width='9' height='9'/%3E"
    assert press(tmp_path, SHEET + f'<img src="{dot}">').returncode == 0


def rows(number: int) -> str:
    lines = "".join(f"<tr><td>bar {n}</td><td>16 ft 6 in</td></tr>" for n in range(number))
    table = f"<table><tbody>{lines}</tbody></table>"
    return f'<html lang="en">{STYLE}<body><section class="sheet letter">{table}</section></body></html>'


@pytest.mark.parametrize(("number", "pages"), [(12, 1), (44, 1), (70, 2)])
def test_a_line_or_two_that_do_not_fit_stand_on_no_page_of_their_own(tmp_path, number, pages):
    """On Letter 9.4 in are left: 41 rows of 21.5 px, or 51 of 17.5 px set closer."""
    told = press(tmp_path, rows(number)).stdout.splitlines()
    assert json.loads(told[-1]) == {"pages": pages}
    assert press(tmp_path, rows(number).replace("body>", "main>")).returncode == 0
    loose = len(PdfReader(tmp_path / "paper.pdf").pages)
    assert loose == (1 if number == 12 else 2)


def test_lines_of_one_item_stay_under_its_number(tmp_path):
    """Eight trucks an item: at the head of a page "truck 7" alone could be air or slump."""
    body = "".join(
        f'<tr class="{"more" if truck > 1 else "first"}"><td>{f"D0{item}" if truck == 1 else ""}</td>'
        f'<td class="write">truck {truck}</td></tr>'
        for item in range(1, 6)
        for truck in range(1, 9)
    )
    table = f'<table class="twin"><tbody>{body}</tbody></table>'
    page = f'<html lang="en">{STYLE}<body><section class="sheet letter">{table}</section></body></html>'
    assert press(tmp_path, page).returncode == 0
    pages = [p.extract_text().split() for p in PdfReader(tmp_path / "paper.pdf").pages]
    assert len(pages) == 2 and pages[1][:3] == ["D04", "truck", "1"]
