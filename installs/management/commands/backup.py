"""Everything that the firm would miss in one file: database, photos and papers, and what both are held to."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from installs.record.backup import NotRestored, back_up, verified
from installs.record.backups import name_at, place


class Command(BaseCommand):
    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", nargs="?", type=Path, help="where to; else a new file in BACKUP_DIR")
        parser.add_argument("--check", action="store_true", help="read the file and say whether it is whole")

    def handle(self, *args: Any, file: Path | None, check: bool, **options: Any) -> None:
        now = timezone.now()
        path = file or place() / name_at(now)
        try:
            if not check and path.exists():
                raise CommandError(f"{path} is there already; a backup is never written over.")
            manifest = verified(path) if check else back_up(path, at=now)
        except (NotRestored, OSError) as error:
            raise CommandError(str(error)) from error
        files = sum(name.startswith("files/") for name in manifest.members)
        size = path.stat().st_size / 1e6
        self.stdout.write(f"{path}: {len(manifest.ends['log'])} jobs, {files} files, {size:,.1f} MB, whole")
        if manifest.missing:
            raise CommandError(
                f"{len(manifest.missing)} files were not whole here: manage.py chains names them."
            )
