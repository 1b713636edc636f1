"""What an entry that stops work says: its subject is the phase, or the whole site; its text what was seen."""

from __future__ import annotations

from installs.checklists.said import Schema

STOP = "S01"
SAID = (Schema(codes=(STOP,), keys={}),)
