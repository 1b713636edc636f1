"""What ``make run`` and ``make test`` do before Python can: each thing that is missing is one clear line."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PINS = ("requirements.txt", ".ci/requirements-firm.txt", ".ci/requirements-test.txt")


@pytest.fixture
def clone(tmp_path: Path) -> Path:
    """A folder with what the set-up reads, asking for one package that no index has."""
    (tmp_path / ".ci").mkdir()
    shutil.copy(ROOT / ".ci" / "setup", tmp_path / ".ci" / "setup")
    (tmp_path / "requirements.txt").write_text("mastwright-no-such-package==1.0\n")
    (tmp_path / "fake").mkdir()
    return tmp_path


def setup(clone: Path, purpose: str = "run", **variables: str) -> subprocess.CompletedProcess[str]:
    env = {"PATH": f"{clone / 'fake'}:/usr/bin:/bin", "HOME": str(clone), **variables}
    command = ["/bin/sh", ".ci/setup", purpose]
    return subprocess.run(command, cwd=clone, env=env, capture_output=True, text=True, timeout=300)


def fake(clone: Path, name: str, script: str) -> None:
    (clone / "fake" / name).write_text(f"#!/bin/sh\n{script}\n")
    (clone / "fake" / name).chmod(0o755)


def test_an_old_python_is_one_line(clone: Path) -> None:
    fake(clone, "python3", 'case "$1" in --version) echo "Python 3.9.2";; *) exit 1;; esac')
    for minor in range(11, 15):
        fake(clone, f"python3.{minor}", "exit 1")
    done = setup(clone)
    assert done.returncode == 1
    assert len(done.stderr.splitlines()) == 1
    assert "needs Python 3.11 or newer, found Python 3.9.2" in done.stderr


def test_a_newer_python_under_another_name_is_found(clone: Path) -> None:
    fake(clone, "python3", "exit 1")
    fake(clone, "python3.12", f'exec "{sys.executable}" "$@"')
    (clone / ".venv" / "bin").mkdir(parents=True)
    fake(clone, "unused", "exit 0")
    shutil.copy(clone / "fake" / "unused", clone / ".venv" / "bin" / "python")
    assert setup(clone).returncode == 0


@pytest.mark.slow
def test_no_network_is_one_line(clone: Path) -> None:
    """Port 9 of this machine has nobody listening."""
    done = setup(
        clone,
        PYTHON=sys.executable,
        PIP_INDEX_URL="http://127.0.0.1:9/simple",
        PIP_CONFIG_FILE=os.devnull,
        PIP_NO_CACHE_DIR="1",
    )
    assert done.returncode == 1
    assert done.stderr.splitlines() == [
        "Mastwright: the Python packages could not be fetched: no network. "
        "Connect, then run this again (details in var/setup.log)."
    ]


def test_a_folder_that_cannot_be_written_is_one_line(clone: Path) -> None:
    (clone / "var").touch()
    done = setup(clone)
    assert done.returncode == 1
    assert len(done.stderr.splitlines()) == 1 and "cannot make the folder var" in done.stderr


def test_missing_libraries_of_the_pdf_engine_are_one_line_for_whoever_is_not_root(clone: Path) -> None:
    (clone / ".venv" / "bin").mkdir(parents=True)
    shutil.copy(clone / "requirements.txt", clone / ".venv" / "installed-run")
    fake(clone, "python", 'case "$2" in "import weasyprint") exit 1;; *) exit 0;; esac')
    shutil.move(clone / "fake" / "python", clone / ".venv" / "bin" / "python")
    fake(clone, "id", "echo 1000")
    fake(clone, "apt-get", "exit 1")
    done = setup(clone)
    assert done.returncode == 1
    assert done.stderr.splitlines() == [
        "Mastwright: needs the PDF engine's libraries. Run: "
        "sudo apt-get install libpango-1.0-0 libharfbuzz0b libpangoft2-1.0-0 libharfbuzz-subset0"
    ]
    fake(clone, "uname", "echo Darwin")
    assert setup(clone).stderr.splitlines() == [
        "Mastwright: needs the PDF engine's libraries. Run: brew install pango"
    ]


def test_a_missing_browser_is_one_line_for_whoever_is_not_root(clone: Path) -> None:
    """On a path that has nothing but what the set-up itself calls."""
    (clone / ".venv" / "bin").mkdir(parents=True)
    for name in ("python3", "apt-get", "python"):
        fake(clone, name, "exit 0")
    shutil.move(clone / "fake" / "python", clone / ".venv" / "bin" / "python")
    shutil.copy(clone / "requirements.txt", clone / ".ci" / "requirements-test.txt")
    shutil.copy(clone / "requirements.txt", clone / ".venv" / "installed-test")
    fake(clone, "id", "echo 1000")
    for name in ("dirname", "mkdir", "cmp", "uname"):
        (clone / "fake" / name).symlink_to(str(shutil.which(name)))
    fake(clone, "grep", "exit 1")  # not Ubuntu
    done = setup(clone, "test", PATH=str(clone / "fake"))
    assert done.stderr.splitlines() == [
        "Mastwright: needs Chromium for the browser tests. Run: sudo apt-get install chromium-headless-shell"
    ]
    fake(clone, "grep", "exit 0")  # Ubuntu
    assert setup(clone, "test", PATH=str(clone / "fake")).stderr.splitlines() == [
        "Mastwright: needs Chromium for the browser tests. "
        f"Run: {clone}/.venv/bin/python -m playwright install --with-deps chromium"
    ]
    for browser in ("chromium", "chromium-headless-shell"):  # the lighter one first where both are
        fake(clone, browser, "exit 0")
        assert setup(clone, "test", PATH=str(clone / "fake")).returncode == 0
        assert (clone / ".venv" / "browser").read_text().strip() == str(clone / "fake" / browser)


def test_the_second_time_nothing_is_installed(clone: Path) -> None:
    (clone / ".venv" / "bin").mkdir(parents=True)
    shutil.copy(clone / "requirements.txt", clone / ".venv" / "installed-run")
    fake(clone, "python", 'case "$2" in pip) exit 1;; *) exit 0;; esac')
    shutil.move(clone / "fake" / "python", clone / ".venv" / "bin" / "python")
    done = setup(clone)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


@pytest.mark.parametrize("name", PINS)
def test_the_pins_name_every_package_once_with_its_bytes_and_no_index(name: str) -> None:
    """With one hash pip asks for all of them: what is fetched is what was pinned, or nothing is installed."""
    text = (ROOT / name).read_text()
    assert "//" not in text
    packages = re.findall(r"^([\w.-]+)==\S+((?: \\\n    --hash=sha256:[0-9a-f]{64})+)$", text, re.MULTILINE)
    named = [package for package, _ in packages]
    assert len(named) == len(set(named)) == len(re.findall(r"^[a-zA-Z]", text, re.MULTILINE)) > 20


@pytest.mark.parametrize("package", ["numpy", "scipy", "pillow", "psycopg-binary", "matplotlib"])
def test_the_bytes_of_every_machine_we_name_are_pinned(package: str) -> None:
    """Those that are compiled: Linux on two processors and macOS, Python 3.11 to 3.13 at the least."""
    text = (ROOT / "requirements.txt").read_text()
    hashes = re.search(rf"^{package}==\S+((?: \\\n    --hash=sha256:[0-9a-f]{{64}})+)$", text, re.MULTILINE)
    assert hashes and hashes[1].count("sha256") >= 3 * 3


def test_the_test_set_holds_the_run_set() -> None:
    def pins(name: str) -> set[str]:
        return {line for line in (ROOT / name).read_text().splitlines() if "==" in line}

    assert pins("requirements.txt") <= pins(".ci/requirements-test.txt")
