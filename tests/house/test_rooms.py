"""Sideways only as the work runs: which room of installs may look into which."""

from __future__ import annotations

from graphlib import CycleError, TopologicalSorter

from tests.house.arrows import ROOT, imports, module_name, sources

BELOW_ALL = {"sent", "people", "files", "jobs", "checklists", "work", "drafting"}
DESIGN = {"site", "turbine", "tower", "foundation", "ground_station"}
PARTS = DESIGN | {"pour", "lift", "inspection"}
# a room, and which rooms beside those below all it may look into; none stands outside this plan
SIDEWAYS: dict[str, set[str]] = {
    "record": set(),
    "firm": set(),
    "emergency": {"firm"},
    "kits": set(),
    "equipment": set(),
    "permits": set(),
    "turbine": set(),
    "site": {"turbine"},  # the year's energy needs the machine's power curve
    "tower": {"site", "turbine", "equipment"},
    "foundation": {"tower", "site", "turbine"},
    "pour": {"foundation"},
    "ground_station": {"site", "turbine", "tower"},
    "lift": DESIGN | {"pour", "equipment"},
    "inspection": {"permits", "site"},  # production is held against the site's energy
    "utility": {"permits", "firm", "ground_station", "turbine"},  # what is applied for, and its permits
    "gates": PARTS | {"permits"},
    "materials": PARTS,
    "picture": {"gates"},
    "papers": PARTS | {"permits", "equipment", "gates", "materials", "picture", "utility"},
    "export": PARTS | {"materials", "papers", "record"},
    "book": PARTS
    | {"permits", "equipment", "gates", "materials", "papers", "record", "firm", "kits", "picture"}
    | {"utility"},
}
# among the rooms below all: each may look into these and no other
BELOW: dict[str, set[str]] = {
    "drafting": set(),
    "sent": set(),
    "people": {"sent"},
    "files": {"people"},
    "jobs": {"people", "files", "drafting", "sent"},
    "checklists": {"people", "files", "jobs", "sent"},
    "work": {"people", "sent"},
}
PLAN = BELOW | {room: BELOW_ALL | more for room, more in SIDEWAYS.items()}
# what stands in no room: settings, root urls and the processes name the rooms; the rest is below them all
ABOVE_ROOMS = {
    "apps",
    "models",
    "parts",
    "settings",
    "urls",
    "wsgi",
    "celery",
    "tasks",
    "management",
    "templatetags",
}
BELOW_ROOMS = {"chain", "measures", "typed", "env", "onemachine", "tight_templates"}


def room(module: str) -> str:
    """ "installs.pour.review" stands in "installs.pour", "installs.tasks" is a room to itself."""
    return ".".join(module.split(".")[:2])


def arrows() -> dict[str, set[str]]:
    """File by file what it imports of ours: inside functions and for types too."""
    paths = {module_name(path): path for path in sources("installs", "crew")}
    return {name: {other for other, _ in imports(path)} & set(paths) - {name} for name, path in paths.items()}


def circles(graph: dict[str, set[str]]) -> list[str]:
    """One circle in words for a graph that has any."""
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        return [" <- ".join(error.args[1])]
    return []


def test_every_room_is_in_the_plan() -> None:
    rooms = {p.parent.name for p in (ROOT / "installs").glob("*/__init__.py")}
    assert rooms - {"migrations", "management", "templatetags"} == set(PLAN)
    loose = {p.stem for p in (ROOT / "installs").glob("*.py")} - {"__init__"}
    assert loose | {"management", "templatetags"} == ABOVE_ROOMS | BELOW_ROOMS


def test_rooms_look_sideways_only_as_the_work_runs() -> None:
    wrong = [
        f"{name} imports {other}"
        for name, others in arrows().items()
        for other in others
        if name.startswith("installs.") and other.startswith("installs.")
        if (mine := room(name)) != (theirs := room(other)) and mine.split(".")[1] in PLAN
        if theirs.split(".")[1] not in PLAN[mine.split(".")[1]] | BELOW_ROOMS
    ]
    assert not wrong


def test_the_plan_itself_has_no_circle() -> None:
    assert circles(PLAN) == []


def test_no_files_import_one_another_in_a_circle() -> None:
    """An import inside a function is an arrow too: it only hides a circle from the interpreter."""
    assert circles(arrows()) == []


def test_no_rooms_look_into_one_another_in_a_circle() -> None:
    rooms: dict[str, set[str]] = {}
    for name, others in arrows().items():
        rooms.setdefault(room(name), set()).update({room(other) for other in others} - {room(name)})
    assert circles(rooms) == []
