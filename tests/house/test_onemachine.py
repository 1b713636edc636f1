"""One machine: a local folder of its own, a kept key, SQLite that outlives a power cut."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from django.core.exceptions import ImproperlyConfigured

from installs import onemachine

MOUNTS = """\
/dev/sda2 / ext4 rw,relatime 0 0
nas:/jobs /srv/jobs nfs4 rw,vers=4.2 0 0
//nas/firm /mnt/firm\\040share cifs rw 0 0
C:\\134 /mnt/c 9p rw 0 0
tmpfs /srv/jobs/scratch tmpfs rw 0 0
"""


@pytest.mark.parametrize(
    ("place", "kind"),
    [
        ("/home/ann/mastwright", "ext4"),
        ("/srv/jobs/mastwright", "nfs4"),
        ("/srv/jobs", "nfs4"),
        ("/srv/jobsite", "ext4"),
        ("/srv/jobs/scratch/x", "tmpfs"),
        ("/mnt/firm share/mastwright", "cifs"),
        ("/mnt/c/Users/ann", "9p"),
    ],
)
def test_the_deepest_mount_holds_the_folder(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, place: str, kind: str
) -> None:
    monkeypatch.setattr(onemachine.sys, "platform", "linux")
    monkeypatch.setattr(Path, "read_text", lambda self, **kw: MOUNTS)
    assert onemachine.file_system(Path(place)) == kind


def test_the_lines_of_macos_are_read() -> None:
    text = (
        "/dev/disk3s1s1 on / (apfs, sealed, local, read-only, journaled)\n"
        "//ann@nas._smb._tcp.local/jobs on /Volumes/jobs (Plains) (smbfs, nodev, nosuid, mounted by ann)\n"
    )
    assert onemachine.mac_mounts(text) == [(Path("/"), "apfs"), (Path("/Volumes/jobs (Plains)"), "smbfs")]


@pytest.mark.parametrize("kind", ["nfs", "nfs4", "cifs", "smbfs", "9p", "fuse.sshfs"])
def test_a_network_folder_is_refused(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, kind: str) -> None:
    monkeypatch.setattr(onemachine, "file_system", lambda path: kind)
    with pytest.raises(ImproperlyConfigured, match="network folder"):
        onemachine.own_folder(tmp_path / "var")
    assert not (tmp_path / "var").exists()


@pytest.mark.parametrize(
    "name",
    [
        "Dropbox",
        "Dropbox (Plains Wind)",
        "OneDrive - Plains Wind",
        "Google Drive",
        "Nextcloud",
        "CloudStorage",
    ],
)
def test_a_synced_folder_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(ImproperlyConfigured, match="synced folder"):
        onemachine.own_folder(tmp_path / name / "mastwright" / "var")


def test_a_folder_with_a_sync_programs_mark_is_refused(tmp_path: Path) -> None:
    (tmp_path / ".stfolder").mkdir()
    with pytest.raises(ImproperlyConfigured, match="synced folder"):
        onemachine.own_folder(tmp_path / "var")


def test_a_folder_that_only_sounds_like_one_is_taken(tmp_path: Path) -> None:
    assert onemachine.own_folder(tmp_path / "dropbox-export" / "var").is_dir()


def test_a_folder_that_cannot_be_written_is_refused_in_a_line(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(ImproperlyConfigured, match=r"^Cannot write to .*VAR_DIR") as refusal:
        onemachine.own_folder(tmp_path / "file" / "var")
    assert "\n" not in str(refusal.value)


def test_the_key_is_made_once_and_only_its_owner_reads_it(tmp_path: Path) -> None:
    path = tmp_path / "secret_key"
    key = onemachine.kept_key(path)
    assert len(key) >= 50 and onemachine.kept_key(path) == key
    assert path.stat().st_mode & 0o777 == 0o600
    assert [p.name for p in tmp_path.iterdir()] == ["secret_key"]


def test_a_key_cut_short_is_refused(tmp_path: Path) -> None:
    (tmp_path / "secret_key").write_text("short")
    with pytest.raises(ImproperlyConfigured, match="delete it"):
        onemachine.kept_key(tmp_path / "secret_key")


@pytest.mark.parametrize(
    ("version", "safe"),
    [
        ((3, 40, 1), False),
        ((3, 44, 5), False),
        ((3, 44, 6), True),
        ((3, 45, 3), False),
        ((3, 50, 6), False),
        ((3, 50, 7), True),
        ((3, 51, 2), False),
        ((3, 51, 3), True),
        ((3, 52, 0), True),
        ((4, 0, 0), True),
    ],
)
def test_the_write_ahead_log_is_used_where_its_reset_bug_is_mended(
    version: tuple[int, int, int], safe: bool
) -> None:
    """sqlite.org/wal.html, "The WAL-reset bug": mended in 3.51.3, and in 3.50.7 and 3.44.6."""
    assert onemachine.wal_is_safe(version) is safe
    options = onemachine.sqlite_options(version, mac=False)
    assert ("journal_mode=WAL" in options["init_command"]) is safe
    assert (onemachine.journal_in_words(version)[-15:] == "write-ahead log") is safe


def pragmas(tmp_path: Path, commands: str) -> dict[str, object]:
    """What SQLite itself answers after the commands, sent one by one as Django does."""
    link = sqlite3.connect(tmp_path / "x.sqlite3")
    for command in filter(None, commands.split(";")):
        link.execute(command)
    names = ("journal_mode", "synchronous", "foreign_keys", "fullfsync", "checkpoint_fullfsync")
    found = {name: link.execute(f"PRAGMA {name}").fetchone()[0] for name in names}
    link.close()
    return found


def test_sqlite_waits_for_the_disk(tmp_path: Path) -> None:
    """sqlite.org/pragma.html: synchronous 2 is FULL."""
    options = onemachine.sqlite_options((3, 40, 1), mac=False)
    found = pragmas(tmp_path, options["init_command"])
    assert (found["journal_mode"], found["synchronous"], found["foreign_keys"]) == ("delete", 2, 1)
    assert (options["transaction_mode"], options["timeout"]) == ("IMMEDIATE", 20)


def test_on_macos_it_waits_for_the_platter(tmp_path: Path) -> None:
    found = pragmas(tmp_path, onemachine.sqlite_options((3, 51, 3), mac=True)["init_command"])
    assert (found["journal_mode"], found["fullfsync"], found["checkpoint_fullfsync"]) == ("wal", 1, 1)
