"""Sideways only as the work runs: which room of installs may look into which."""

from __future__ import annotations

import ast
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
BELOW_ALL = {"people", "jobs", "checklists", "files", "work", "drafting"}
DESIGN = {"site", "turbine", "tower", "foundation", "ground_station"}
PARTS = DESIGN | {"pour", "lift", "inspection"}
SIDEWAYS: dict[str, set[str]] = {
    "people": set(),
    "jobs": set(),
    "checklists": set(),
    "files": set(),
    "work": set(),
    "drafting": set(),
    "record": set(),
    "equipment": set(),
    "permits": set(),
    "turbine": set(),
    "site": {"turbine"},  # the year's energy needs the machine's power curve
    "tower": {"site", "turbine", "equipment"},
    "foundation": {"tower", "site", "turbine"},
    "pour": {"foundation"},
    "ground_station": {"site", "turbine", "tower"},
    "lift": DESIGN | {"pour", "equipment"},
    "inspection": {"permits"},
    "gates": PARTS | {"permits"},
    "materials": PARTS,
    "papers": PARTS | {"permits", "equipment", "gates", "materials"},
    "book": PARTS | {"permits", "equipment", "gates", "materials", "papers", "record"},
}
# A part's services ask the gate; the gate reads the part's review: file kinds keep that from being a circle.
ASK_THE_GATE = PARTS | {"permits", "checklists"}


def rooms_named(path: Path) -> set[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    modules = [node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
    modules += [alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names]
    return {m.split(".")[1] for m in modules if m.startswith("installs.") and m.count(".") >= 1}


def test_every_room_is_in_the_plan() -> None:
    rooms = {p.parent.name for p in (ROOT / "installs").glob("*/__init__.py")}
    assert rooms - {"migrations", "management", "templatetags"} == set(SIDEWAYS)


def test_rooms_look_sideways_only_as_the_work_runs() -> None:
    wrong = []
    for room, allowed in SIDEWAYS.items():
        seen = allowed | BELOW_ALL | {room} | ({"gates"} if room in ASK_THE_GATE else set())
        for path in (ROOT / "installs" / room).rglob("*.py"):
            wrong += [
                f"{room}/{path.name} imports {other}" for other in rooms_named(path) & set(SIDEWAYS) - seen
            ]
    assert not wrong


def test_the_plan_itself_has_no_circle() -> None:
    def reaches(room: str, goal: str, seen: frozenset[str] = frozenset()) -> bool:
        nexts = SIDEWAYS[room] - seen
        return goal in SIDEWAYS[room] or any(reaches(n, goal, seen | {room}) for n in nexts)

    assert [room for room in SIDEWAYS if reaches(room, room)] == []
