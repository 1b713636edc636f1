"""A figure that a calculation takes is declared once; a case is drawn from the figures of its part."""

from __future__ import annotations

import dataclasses
import types
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import import_module
from typing import Any, Literal, get_args, get_origin, get_type_hints

import pytest

from sitecalc.__main__ import calculations
from sitecalc.cases import drawn_from, figure_of, ranged_as, same_as, worked
from sitecalc.figures import declared
from sitecalc.inputs import InputError, quantity, require_valid


@dataclass(frozen=True, kw_only=True)
class Slab:
    """Figures of a slab as they are entered."""

    thick_in: float = quantity("in", "thickness", low=4, high=24, default=6.0)
    load_psf: float | None = quantity("psf", "load", low=0, high=500, default=None)
    finish: Literal["broom", "float", ""] = quantity("", "finish", default="")
    note: str = quantity("", "note", default="")
    layers: float | None = quantity("", "layers", low=1, high=4, default=None, whole=True)


@dataclass(frozen=True, kw_only=True)
class Bar:
    at_in: float = quantity("in", "above the ground", low=1, high=24, shown_at="thick_in")


@dataclass(frozen=True, kw_only=True)
class SlabCase:
    thick_in: float = same_as(Slab, "thick_in", required=True)
    carried_psf: float | None = same_as(Slab, "load_psf")
    finish: Literal["broom", "float"] | None = same_as(Slab, "finish")
    note: str = same_as(Slab, "note")
    area_ft2: float = quantity("ft2", "area", low=1, high=9_000)
    bars: tuple[Bar, ...] = quantity("", "bars", default=())


@dataclass(frozen=True, kw_only=True)
class LoadedCase:
    """It cannot do without a load, and is good for thinner slabs than are poured."""

    load_psf: float = same_as(Slab, "load_psf", required=True)
    thick_in: float = same_as(Slab, "thick_in", low=1)
    finish: Literal["broom", "float"] = same_as(Slab, "finish", default="broom")


def test_a_case_takes_range_unit_and_meaning_of_the_figure() -> None:
    thick = SlabCase.__dataclass_fields__["thick_in"]
    assert (thick.metadata["unit"], thick.metadata["low"], thick.metadata["high"]) == ("in", 4, 24)
    assert thick.metadata["meaning"] == "thickness"
    with pytest.raises(InputError, match="at least 4 in"):
        require_valid(SlabCase(thick_in=3.9, area_ft2=10.0))


def test_a_starting_layout_is_no_default_of_a_calculation_that_requires_the_figure() -> None:
    with pytest.raises(TypeError, match="thick_in"):
        SlabCase(area_ft2=10.0)


def test_a_calculation_may_hold_in_another_range_or_take_something_else_for_granted() -> None:
    case = LoadedCase(load_psf=0.0, thick_in=1.5)
    require_valid(case)
    assert case.finish == "broom"
    with pytest.raises(InputError, match="at most 24 in"):
        require_valid(LoadedCase(load_psf=0.0, thick_in=24.5))


def test_a_case_is_drawn_from_figures_and_the_rest_is_given() -> None:
    case = drawn_from(SlabCase, Slab(thick_in=8.0, load_psf=40.0, finish="broom", note="cold"), area_ft2=9.0)
    assert case == SlabCase(thick_in=8.0, carried_psf=40.0, finish="broom", note="cold", area_ft2=9.0)


def test_what_is_taken_from_elsewhere_goes_before_the_figure() -> None:
    assert drawn_from(SlabCase, Slab(load_psf=40.0), area_ft2=9.0, carried_psf=55.0).carried_psf == 55.0


def test_an_empty_choice_is_none_and_an_empty_text_stays() -> None:
    case = drawn_from(SlabCase, Slab(), area_ft2=9.0)
    assert (case.finish, case.carried_psf, case.note) == (None, None, "")
    assert SlabCase(thick_in=6.0, area_ft2=9.0).finish is None


def test_a_figure_that_a_case_cannot_do_without_is_asked_for_by_its_name() -> None:
    with pytest.raises(InputError) as refused:
        drawn_from(LoadedCase, Slab(finish="float"))
    assert (refused.value.field, refused.value.message) == ("load_psf", "is not given.")


def test_an_error_of_a_field_is_shown_at_its_figure() -> None:
    assert figure_of(SlabCase, "carried_psf") == "load_psf"
    assert figure_of(SlabCase, "bars[3].at_in") == "thick_in"
    assert figure_of(SlabCase, "area_ft2") == "area_ft2"
    assert figure_of(SlabCase, "bars[3].color") == "bars[3].color"

    def refuse(_case: SlabCase) -> None:
        raise InputError("carried_psf", "is too much.")

    with pytest.raises(InputError) as refused:
        worked(refuse, SlabCase(thick_in=6.0, area_ft2=9.0))
    assert (refused.value.field, refused.value.message) == ("load_psf", "is too much.")


def cases() -> Iterator[type]:
    """Every dataclass that a calculation takes, with those within."""
    waiting = [calculation.takes for calculation in calculations().values()]
    seen: set[type] = set()
    while waiting:
        case = waiting.pop()
        if case in seen:
            continue
        seen.add(case)
        yield case
        waiting += [
            part
            for hint in get_type_hints(case).values()
            for part in (hint, *get_args(hint))
            if dataclasses.is_dataclass(part) and isinstance(part, type)
        ]


def parts(kind: Any) -> set[Any]:
    """The words of a choice, or the types, without what stands for empty."""
    if get_origin(kind) is Literal:
        return {word for word in get_args(kind) if word != ""}
    if isinstance(kind, types.UnionType) or get_origin(kind) is not None:
        return {part for each in get_args(kind) for part in parts(each)}
    return set() if kind is types.NoneType else {kind}


@pytest.mark.parametrize("case", list(cases()), ids=lambda case: f"{case.__module__}.{case.__name__}")
def test_a_field_that_is_a_figure_is_of_its_kind(case: type) -> None:
    """The same words to choose from, the same type of number."""
    hints = get_type_hints(case)
    for field in dataclasses.fields(case):
        if "figure" in field.metadata:
            figures, name = field.metadata["figure"]
            figure = next(f for f in declared(figures) if f.name == name)
            kind = int if figure.more.get("whole") else figure.kind
            assert parts(hints[field.name]) == parts(kind), field.name


def test_an_error_is_shown_at_a_figure_of_the_part() -> None:
    for case in cases():
        figures = vars(import_module(f"{case.__module__.rpartition('.')[0]}.figures")).values()
        known = {
            f.name for each in figures if dataclasses.is_dataclass(each) for f in dataclasses.fields(each)
        }
        shown = {f.metadata["shown_at"] for f in dataclasses.fields(case) if "shown_at" in f.metadata}
        assert shown <= known, case


# of the same name as a figure of the part, and another thing
ANOTHER = {
    "lift.Section": ("length_ft", "weight_lb", "center_ft"),  # a piece of the tower, not the load
    "lift.Rating": ("boom_ft", "radius_ft"),  # a row of the chart, not the crane as it stands
    "lift.Block": ("weight_lb",),  # a hook block of the catalogue
    "tower.Base": ("moment_kip_ft", "shear_kip"),  # at strength level, of the foot or of a joint
    "tower.BoltLoad": ("shear_kip",),  # of one bolt
    "pour.CurveCase": ("age_days",),  # of the pad, not of a pair of cylinders
    "pour.Cylinder": ("psi", "age_days"),  # one that was broken, as low as it may be
    "pour.CalibrationCase": ("age_days",),
    "pour.TruckCase": ("slump_in", "air_pct"),  # as measured, not as ordered
    "foundation.Measured": ("projection_in",),  # as measured
    "site.NoiseCase": ("distance_ft",),  # to where the ordinance listens
    "site.AirspaceCase": ("height_ft",),  # of the turbine or the crane
}


def test_a_range_stands_once() -> None:
    """A number of a case that is called and measured as a figure of its part is that figure."""
    twice = set()
    for case in cases():
        part = case.__module__.split(".")[1]
        module = import_module(f"sitecalc.{part}.figures")
        known = {
            (f.name, f.unit)
            for each in vars(module).values()
            if dataclasses.is_dataclass(each) and isinstance(each, type)
            for f in declared(each)
        }
        named = f"{part}.{case.__name__}"
        for field in () if case.__module__ == module.__name__ else dataclasses.fields(case):
            own = "figure" not in field.metadata and field.metadata.get("low") is not None
            another = field.name in ANOTHER.get(named, ())
            if own and not another and (field.name, field.metadata["unit"]) in known:
                twice.add(f"{named}.{field.name}")
    assert not twice


# in the very range of a figure of the part by chance, and nothing of its kind
BY_CHANCE = {
    "lift.Section": ("center_ft",),  # within a piece, as a building's corner out from the boom
    "lift.SearchCase": ("step_ft",),  # of a search, as the width of a mat
    "lift.Rating": ("radius_ft",),  # of any chart, as the length of a load
    "lift.Heights": ("block_ft", "two_block_ft"),  # as what a radius is taken beyond
    "lift.HangingCase": ("block_ft", "raised_to_deg"),  # the same of the block; an angle, as that of a choke
    "lift.Boom": ("pin_height_ft",),
    "lift.Load": ("rope_lb",),  # as a ball
    "tower.Rotor": ("speed_low_rpm",),  # as its maker says, as the window that the controller skips
    "pour.TruckCase": ("air_pct",),  # as measured, as the waste
    "foundation.EdgeBars": ("leg_in",),  # a bar round the edge, as an anchor's embedment
    "foundation.ConcreteCase": ("working_ft",),  # room round the forms, as a height of loads
    "foundation.StrengthCase": ("dowel_cover_in",),  # of dowels in their pedestal, as a side of the pad
    "site.NoiseCase": ("rated_dba", "distance_ft"),  # of the machine, as a limit; as a thing's distance
    "site.AirspaceCase": ("height_ft",),  # of the turbine or the crane, as what was determined
}


def test_a_range_is_not_copied_from_a_figure() -> None:
    """A number of a case in the unit and the very range of a figure of its part says which."""
    copied = set()
    for case in cases():
        part = case.__module__.split(".")[1]
        module = import_module(f"sitecalc.{part}.figures")
        known = {
            (f.unit, f.low, f.high)
            for each in vars(module).values()
            if dataclasses.is_dataclass(each) and isinstance(each, type)
            for f in declared(each)
            if f.unit and f.low is not None and f.high is not None
        }
        named = f"{part}.{case.__name__}"
        for field in () if case.__module__ == module.__name__ else dataclasses.fields(case):
            said = field.metadata
            stands = "figure" in said or "ranged_as" in said
            by_chance = field.name in BY_CHANCE.get(named, ())
            measured = said.get("unit"), said.get("low"), said.get("high")
            if not stands and not by_chance and measured in known:
                copied.add(f"{named}.{field.name}")
    assert not copied


@dataclass(frozen=True, kw_only=True)
class SecondCase:
    second_in: float = ranged_as(Slab, "thick_in", "thickness of the second slab", default=5.0)


def test_another_thing_of_a_figures_kind_has_its_range_and_is_never_drawn_from_it() -> None:
    assert drawn_from(SecondCase, Slab(thick_in=9.0)).second_in == 5.0
    with pytest.raises(InputError) as refused:
        require_valid(SecondCase(second_in=24.5))
    assert (refused.value.field, refused.value.message) == (
        "second_in",
        "is 24.5 in; at most 24 in is accepted.",
    )


@dataclass(frozen=True, kw_only=True)
class ThinCase:
    """What is left empty is one load of its own, and none is none."""

    load_psf: float = same_as(Slab, "load_psf", default=20.0)
    layers: int | None = same_as(Slab, "layers")


def test_an_empty_figure_is_the_cases_own_default_and_a_zero_is_a_zero() -> None:
    assert drawn_from(ThinCase, Slab()).load_psf == 20.0
    assert drawn_from(ThinCase, Slab(load_psf=0.0)).load_psf == 0.0


def test_a_whole_number_is_counted() -> None:
    case = drawn_from(ThinCase, Slab(layers=2.0))
    assert (case.layers, type(case.layers)) == (2, int)


@dataclass(frozen=True, kw_only=True)
class Strip:
    """A row beside the slab."""

    width_ft: float = quantity("ft", "width", low=1, high=40)


@dataclass(frozen=True, kw_only=True)
class BothCase:
    thick_in: float = same_as(Slab, "thick_in")
    width_ft: float = same_as(Strip, "width_ft", required=True)


def test_a_case_is_drawn_from_figures_and_a_row_of_them() -> None:
    assert drawn_from(BothCase, Slab(thick_in=9.0), Strip(width_ft=4.0)) == BothCase(
        thick_in=9.0, width_ft=4.0
    )
