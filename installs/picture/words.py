"""What the picture says in words: figures of each part, and the whole of it for who does not see it."""

from __future__ import annotations

from collections.abc import Mapping

from installs.picture.scene import Scene, State, Thing
from installs.picture.states import PartState
from sitecalc.wording import quantity_words

ORDER = ("turbine", "tower", "pad", "crane pad", "trench", "station", "line")


def feet_words(feet: float) -> str:
    """To a tenth of a foot: more is not known of a height."""
    return quantity_words(round(feet, 1), "ft")


def station_at(scene: Scene) -> float | None:
    """At the wall of its building, else at the end of the trench; None where nobody said."""
    if not scene.station:
        return None
    inside = next((thing for thing in scene.buildings if thing.has_station), None)
    if inside:
        return inside.distance_ft
    return scene.trench.distance_ft if scene.trench else None


def off_words(thing: Thing) -> str:
    high = f", {feet_words(thing.height_ft)} high" if thing.height_ft is not None else ", height not given"
    return f"{feet_words(thing.distance_ft)} off{high}"


def figure_words(scene: Scene, key: str) -> str:
    """What of a part is drawn, in figures; empty where it is not drawn."""
    if key == "turbine" and scene.head:
        return f"{scene.head.name}, hub {feet_words(scene.head.hub_ft)}"
    if key == "tower" and scene.tower:
        return f"{feet_words(scene.tower.length_ft)} {scene.tower.kind}"
    if key == "pad" and scene.pad:
        wide = {"rectangle": "wide", "octagon": "octagon", "circle": "round"}[scene.pad.outline]
        return f"{feet_words(scene.pad.side_ft)} {wide}, {feet_words(scene.pad.thickness_ft)} thick"
    if key == "crane pad" and scene.crane_pad:
        side = feet_words(scene.crane_pad.side_ft)
        return f"{side} wide, center {feet_words(scene.crane_pad.distance_ft)} off"
    if key == "trench" and scene.trench:
        cover = scene.trench.cover_ft
        deep = (
            f", {quantity_words(round(cover * 12), 'in')} cover" if cover is not None else ", cover not given"
        )
        return f"{feet_words(round(scene.trench.length_ft))} long{deep}"
    if key == "station" and station_at(scene) is not None:
        inside = next((thing for thing in scene.buildings if thing.has_station), None)
        where = f"{inside.name}, {off_words(inside)}" if inside else "at the end of the trench"
        return where
    if key == "line" and scene.line:
        return off_words(scene.line)
    return ""


def listed(scene: Scene, states: Mapping[str, PartState]) -> list[str]:
    """Parts in the order in which they are listed: those that are drawn, then what else is known."""
    drawn = [key for key in ORDER if figure_words(scene, key)]
    known = [key for key in ORDER if key not in drawn and states[key].state is not State.NOTHING]
    return [*drawn, *known]


def described(scene: Scene, states: Mapping[str, PartState]) -> str:
    """The whole picture in sentences, for who does not see it."""
    said = []
    for key in listed(scene, states):
        state = states[key]
        words = ", ".join(filter(None, (figure_words(scene, key) or "not drawn", state.said)))
        said.append(f"{state.title}: {words}.{f' Next: {state.next}.' if state.next else ''}")
    said += [f"{thing.name}: {off_words(thing)}." for thing in scene.buildings if not thing.has_station]
    unknown = [states[key].title.lower() for key in ORDER if states[key].state is State.NOTHING]
    said += [f"Nothing known yet: {', '.join(unknown)}."] if unknown else []
    return " ".join(said)
