"""Which file of the house imports which."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def module_name(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def sources(*packages: str) -> list[Path]:
    return [
        p for name in packages for p in sorted((ROOT / name).rglob("*.py")) if "migrations" not in p.parts
    ]


@cache
def imports(path: Path) -> list[tuple[str, int]]:
    """Every module that a file names in an import, wherever in the file that stands, and the line."""
    return list(_imports(path))


def _imports(path: Path) -> Iterator[tuple[str, int]]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((alias.name, node.lineno) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = path.parents[node.level - 1] if node.level else None
            start = [*above.relative_to(ROOT).parts] if above else []
            base = ".".join([*start, *([node.module] if node.module else [])])
            # "from installs.work import services" names a module too
            for alias in node.names:
                longer = f"{base}.{alias.name}"
                is_module = (ROOT / longer.replace(".", "/")).with_suffix(".py").exists()
                yield (longer if is_module else base), node.lineno
