"""What running on one machine stands on: its own folder, a kept key, SQLite that outlives a power cut."""

from __future__ import annotations

import os
import secrets
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from django.core.exceptions import ImproperlyConfigured

# File systems on which SQLite's locks or its log cannot be relied on (sqlite.org/faq.html question 5,
# sqlite.org/wal.html: "does not work over a network filesystem").
NETWORK_FILE_SYSTEMS = frozenset(
    {"nfs", "nfs4", "cifs", "smb2", "smb3", "smbfs", "afpfs", "afs", "ncpfs", "webdav", "davfs", "9p"}
    | {"ceph", "glusterfs", "lustre", "vboxsf", "vmhgfs", "prl_fs", "osxfuse", "macfuse"}
    | {"fuse.sshfs", "fuse.rclone", "fuse.s3fs", "fuse.gcsfuse", "fuse.davfs", "fuse.gvfsd-fuse"}
    | {"fuse.glusterfs", "fuse.ceph", "fuse.vmhgfs-fuse"}
)
# Folders that a program copies elsewhere while we write: it copies half a transaction.
SYNCED_NAMES = (
    "dropbox",
    "onedrive",
    "google drive",
    "googledrive",
    "my drive",
    "mobile documents",
    "cloudstorage",
    "icloud drive",
    "iclouddrive",
    "nextcloud",
    "owncloud",
    "pcloud",
    "syncthing",
)
SYNC_MARKERS = (".stfolder", ".dropbox.cache", ".owncloudsync.log", ".nextcloudsync.log")


def own_folder(path: Path) -> Path:
    """A folder for SQLite: made and tried, or refused with a reason."""
    kind = shared_kind(path)
    if kind:
        raise ImproperlyConfigured(
            f"{path} is in {kind}. SQLite loses data there: "
            "move the project to a local disk, or set VAR_DIR to a folder on one."
        )
    return written_folder(path)


def written_folder(path: Path) -> Path:
    """Make the folder that the running system writes to and try it, or refuse it with a reason."""
    try:
        path.mkdir(mode=0o700, parents=True, exist_ok=True)  # nobody else of this machine reads it
        with tempfile.TemporaryFile(dir=path):
            pass
    except OSError as error:
        raise ImproperlyConfigured(
            f"Cannot write to {path} ({error.strerror}): "
            "make it writable, or set VAR_DIR to a folder that is."
        ) from error
    return path


def shared_kind(path: Path) -> str:
    """ "a network folder (nfs)" or "a synced folder (Dropbox)", else "" """
    real = path.resolve()
    kind = file_system(real)
    if kind in NETWORK_FILE_SYSTEMS:
        return f"a network folder ({kind})"
    for folder in (real, *real.parents):
        # "OneDrive - Firm" and "Dropbox (Firm)" are how the programs name a firm's folder
        name = folder.name.lower()
        if any(name == known or name.startswith((f"{known} -", f"{known} (")) for known in SYNCED_NAMES):
            return f"a synced folder ({folder.name})"
        if any((folder / marker).exists() for marker in SYNC_MARKERS):
            return f"a synced folder ({folder})"
    return ""


def file_system(path: Path) -> str:
    """The type of the file system that holds the path, in the system's own word; "" when not known."""
    try:
        if sys.platform == "darwin":
            listing = subprocess.run(["/sbin/mount"], capture_output=True, text=True, timeout=10).stdout
            mounts = mac_mounts(listing)
        else:
            mounts = linux_mounts(Path("/proc/self/mounts").read_text(encoding="utf-8", errors="replace"))
    except (OSError, subprocess.TimeoutExpired):
        return ""
    depth, kind = 0, ""
    for point, its_kind in mounts:
        # the deepest mount point holds the path; of two on the same point the later one is seen
        if (path == point or point in path.parents) and len(point.parts) >= depth:
            depth, kind = len(point.parts), its_kind
    return kind


def linux_mounts(text: str) -> list[tuple[Path, str]]:
    """Mount points and types from /proc/self/mounts, where a blank in a name is written as octal 040."""
    rows = [line.split(" ") for line in text.splitlines() if line.count(" ") >= 2]
    return [(Path(row[1].replace("\\040", " ")), row[2]) for row in rows]


def mac_mounts(text: str) -> list[tuple[Path, str]]:
    """From lines like ``//ann@nas/jobs on /Volumes/jobs (smbfs, nodev)``."""
    found = []
    for line in text.splitlines():
        point, paren, options = line.partition(" on ")[2].rpartition(" (")
        if paren:
            found.append((Path(point), options.partition(",")[0].rstrip(")")))
    return found


def kept_key(path: Path) -> str:
    """The secret key of this machine, made on the first start and readable by its owner only.

    Written under another name and linked into place, so that of two processes that start together
    both read the same key.
    """
    if not path.exists():
        fresh = path.with_name(f"{path.name}.{os.getpid()}")
        with open(os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w") as file:
            file.write(secrets.token_urlsafe(50))
        try:
            os.link(fresh, path)
        except FileExistsError:
            pass
        finally:
            fresh.unlink()
    key = path.read_text(encoding="utf-8").strip()
    if len(key) < 50:
        raise ImproperlyConfigured(
            f"{path} holds no key: delete it, and a new one is made (all sign in anew)."
        )
    return key


def wal_is_safe(version: tuple[int, int, int]) -> bool:
    """Whether this SQLite has the fix of the WAL-reset bug, by which a committed write could be lost.

    Source: sqlite.org/wal.html, "The WAL-reset bug": fixed in 3.51.3, and in 3.50.7 and 3.44.6.
    """
    fixed_in = {(3, 44): 6, (3, 50): 7, (3, 51): 3}
    return version >= (3, 52, 0) or version[2] >= fixed_in.get(version[:2], sys.maxsize)


def sqlite_options(version: tuple[int, int, int], *, mac: bool) -> dict[str, Any]:
    """Connection options: a commit that was answered survives a power cut, and writers wait their turn.

    IMMEDIATE takes the write lock at BEGIN, so that two transactions that read first and write later
    do not both fail. FULL waits for the disk; macOS waits for the platter only with fullfsync.
    """
    journal = "WAL" if wal_is_safe(version) else "DELETE"
    pragmas = [f"journal_mode={journal}", "synchronous=FULL", "foreign_keys=ON"]
    if mac:
        pragmas += ["fullfsync=ON", "checkpoint_fullfsync=ON"]
    return {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "".join(f"PRAGMA {pragma};" for pragma in pragmas),
    }


def journal_in_words(version: tuple[int, int, int]) -> str:
    name = ".".join(map(str, version))
    if wal_is_safe(version):
        return f"SQLite {name}, write-ahead log"
    return f"SQLite {name}, rollback journal (this version's write-ahead log can lose a committed write)"
