"""The browser that the tests drive: where it is on this machine, and how it is started.

Letters are as wide as their font says, not as a screen would fit them: one browser measures as the other.
"""

from __future__ import annotations

import os
import shutil

MAC = "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome"
NAMES = (
    os.environ.get("CHROMIUM", ""),
    "chromium-headless-shell",
    "chromium",
    "chromium-browser",
    "google-chrome",
    MAC,
)
PROGRAM = next((found for found in map(shutil.which, filter(None, NAMES)) if found), None)
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--font-render-hinting=none",
]
