"""Scenes to draw: jobs as they come, and odd ones."""

from __future__ import annotations

from hypothesis import strategies as st

from installs.picture.scene import CranePad, Head, Pad, Scene, Section, State, Thing, Tower, Trench
from installs.picture.states import RULES, PartState


def sections(count: int, length_ft: float, bottom_ft: float, top_ft: float) -> tuple[Section, ...]:
    """A tower that tapers evenly from foot to top."""
    step = (bottom_ft - top_ft) / count
    return tuple(
        Section(length_ft=length_ft, bottom_ft=bottom_ft - step * n, top_ft=bottom_ft - step * (n + 1))
        for n in range(count)
    )


def head(hub_ft: float, rotor_ft: float, tail_ft: float = 0.0) -> Head:
    return Head(
        name="Osprey 25",
        hub_ft=hub_ft,
        rotor_ft=rotor_ft,
        ahead_ft=2.0,
        above_flange_ft=1.5,
        body_length_ft=6.0,
        body_height_ft=2.0,
        tail_ft=tail_ft,
    )


BARN = Thing(name="Dairy barn", distance_ft=790.0, height_ft=34.0, width_ft=200.0, has_station=True)
ORDINARY = Scene(
    pad=Pad(side_ft=16.0, thickness_ft=5.0, top_ft=0.5),
    tower=Tower(kind="lattice, 4 legs", sections=sections(5, 20.0, 7.0, 1.7), seat_ft=0.5),
    head=head(103.3, 30.0, 9.0),
    crane_pad=CranePad(distance_ft=36.0, side_ft=40.0),
    trench=Trench(distance_ft=240.0, length_ft=240.0, cover_ft=2.0),
    buildings=(
        Thing(name="Machine shed", distance_ft=235.0, height_ft=20.0, width_ft=60.0, has_station=True),
        Thing(name="House", distance_ft=340.0, height_ft=24.0, width_ft=46.0),
    ),
    line=Thing(name="7.2 kV line", distance_ft=480.0, height_ft=30.0),
    station=True,
)
TUBE_60 = Scene(
    pad=Pad(side_ft=14.0, thickness_ft=4.0, top_ft=0.5, outline="octagon", pedestal_side_ft=4.0,
            pedestal_height_ft=2.0),
    tower=Tower(kind="tube", sections=sections(3, 20.0, 2.0, 1.2), seat_ft=2.5),
    head=head(64.0, 18.0, 7.0),
    crane_pad=CranePad(distance_ft=30.0, side_ft=30.0),
    trench=Trench(distance_ft=800.0, length_ft=850.0),
    buildings=(BARN,),
    line=Thing(name="Line", distance_ft=2400.0),
    station=True,
)  # fmt: skip
LATTICE_140 = Scene(
    pad=Pad(side_ft=22.0, thickness_ft=5.0, top_ft=-1.0),
    tower=Tower(kind="lattice, 3 legs", sections=sections(7, 20.0, 12.0, 2.0), seat_ft=-1.0),
    head=head(145.0, 42.0),
    crane_pad=CranePad(distance_ft=300.0, side_ft=50.0),
    station=True,
)
POLE = Scene(tower=Tower(kind="tube", sections=sections(1, 60.0, 0.5, 0.33)))  # one that is tilted up
NO_TOWER = Scene(pad=Pad(side_ft=16.0, thickness_ft=4.0, top_ft=0.5))
NO_SITE = Scene(pad=ORDINARY.pad, tower=ORDINARY.tower, head=ORDINARY.head)
ODD = {
    "ordinary": ORDINARY,
    "60 ft tube on an octagon": TUBE_60,
    "140 ft lattice": LATTICE_140,
    "tilt-up pole": POLE,
    "no tower yet": NO_TOWER,
    "no site": NO_SITE,
    "a head alone": Scene(head=head(80.0, 20.0)),
    "a line alone": Scene(line=Thing(name="7.2 kV line", distance_ft=90.0, height_ft=30.0)),
}


def part_state(key: str, state: State = State.RELEASED) -> PartState:
    call = {State.VOID: "void: foundation A stands on tower A with 470 kip-ft", State.HELD: "held by D-3"}
    return PartState(
        key=key,
        title=RULES[key].title,
        state=state,
        words="released A",
        call=call.get(state, ""),
        next="Wire the ground station, not before Wed Dec 16",
        deviation=3 if state is State.HELD else 0,
    )


def states(every: State = State.RELEASED, **of: State) -> dict[str, PartState]:
    """All parts in one state but those named (``crane_pad=...``)."""
    return {key: part_state(key, of.get(key.replace(" ", "_"), every)) for key in RULES}


feet = st.floats(1.0, 2000.0)
things = st.builds(
    Thing,
    name=st.sampled_from(["House", "Machine shed", "Calving barn, north end"]),
    distance_ft=st.floats(30.0, 2000.0),
    height_ft=st.none() | st.floats(6.0, 45.0),
    width_ft=st.none() | st.floats(8.0, 300.0),
)
scenes = st.builds(
    lambda scene, buildings, at: Scene(
        pad=scene.pad,
        tower=scene.tower,
        head=scene.head,
        crane_pad=scene.crane_pad,
        trench=Trench(distance_ft=at, length_ft=at, cover_ft=2.0),
        buildings=tuple(sorted(buildings, key=lambda thing: thing.distance_ft)),
        line=scene.line,
        station=True,
    ),
    st.sampled_from([ORDINARY, TUBE_60, LATTICE_140]),
    st.lists(things, max_size=3),
    st.floats(30.0, 1500.0),
)
