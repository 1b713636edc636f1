"""Settings from the environment. A value that cannot be read stops the start and says so."""

from __future__ import annotations

import os
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured


def env_str(name: str, default: str = "") -> str:
    return os.environ.get(name, "").strip() or default


def env_bool(name: str, default: bool) -> bool:
    text = env_str(name)
    if not text:
        return default
    if text not in ("True", "False"):
        raise ImproperlyConfigured(f"{name} must be True or False, not {text!r}.")
    return text == "True"


def env_int(name: str, default: int, *, low: int, high: int) -> int:
    text = env_str(name)
    if not text:
        return default
    if not text.isascii() or not text.isdigit() or not low <= int(text) <= high:
        raise ImproperlyConfigured(f"{name} must be a whole number from {low} to {high}, not {text!r}.")
    return int(text)


def env_list(name: str) -> list[str]:
    """Parts between commas, without blanks."""
    return [part.strip() for part in env_str(name).split(",") if part.strip()]


def env_secret(name: str) -> str:
    """The variable NAME, or what the file named by NAME_FILE holds (a container's secret)."""
    path = env_str(f"{name}_FILE")
    if not path:
        return env_str(name)
    if env_str(name):
        raise ImproperlyConfigured(f"Set {name} or {name}_FILE, not both.")
    try:
        secret = Path(path).read_text(encoding="utf-8").strip()
    except (OSError, UnicodeDecodeError) as error:
        raise ImproperlyConfigured(f"{name}_FILE names {path}, which cannot be read: {error}") from error
    if not secret:
        raise ImproperlyConfigured(f"{name}_FILE names {path}, which is empty.")
    return secret
