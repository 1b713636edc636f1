"""Equipment grounding conductors, grounding electrode conductors, and the electrodes themselves."""

from __future__ import annotations

from dataclasses import dataclass, replace

from sitecalc.cases import same_as
from sitecalc.checks import Check, Known, Rule
from sitecalc.formula import Formula, looked_up
from sitecalc.inputs import InputError, quantity, require_valid

from .codes import CodeRule
from .figures import GroundStationFigures
from .run import Run
from .tables import Metal, Size, area_cmil, named, rows, smallest_size
from .words import Electrode

# largest electrode conductor asked for where it goes to this electrode only: NEC 250.66(A) to (C)
_ENOUGH: dict[str, dict[str, str]] = {
    "rods": {"copper": "6", "aluminum": "4"},
    "concrete-encased": {"copper": "4"},
    "ground ring": {"copper": "2"},
}
ROD_LENGTH_FT, ROD_SPACING_FT, ONE_ROD_OHM = 8.0, 6.0, 25.0
RING_LENGTH_FT, ENCASED_LENGTH_FT = 20.0, 20.0

GROUND = CodeRule(
    "ground", "equipment ground", "cmil", "", Known.READ, ("equipment ground", "equipment ground upsized")
)
ELECTRODE_CONDUCTOR = CodeRule(
    "electrode-conductor",
    "Grounding electrode conductor",
    "cmil",
    "",
    Known.READ,
    ("electrode conductor",),
)
ELECTRODE = CodeRule("electrode", "Grounding electrode", "ft", "", Known.READ, ("electrode",))
ONE_ROD = replace(ELECTRODE, unit="ohm")  # one rod alone is judged by what is measured

GROWN = Formula(
    "A_r",
    "grown in proportion to the phase conductors, then the next size up",
    "A_g*max(1,A_used/A_least)",
    "cmil",
)
ROD = Formula("R", "resistance of one driven rod", "rho/(2*pi*L)*(ln(4*L/a)-1)", "ohm")


def table_equipment_ground(breaker_a: float, metal: str) -> str:
    """Size by the device ahead (A), before any increase; InputError beyond 6,000 A. NEC Table 250.122."""
    for row in rows("equipment_grounding"):
        if breaker_a <= float(row["up_to_a"]):
            return row[metal]
    raise InputError("breaker_a", f"{breaker_a:g} A is beyond the table of equipment grounding conductors.")


def equipment_ground(
    breaker_a: float, metal: str, used_cmil: float, least_cmil: float, phase_metal: str = ""
) -> str:
    """Smallest equipment grounding conductor, increased as much as the phase conductors were.

    breaker_a
        device ahead, A.
    metal, phase_metal
        of the ground, and of the phase conductors where that is another.
    used_cmil, least_cmil
        area of the phase conductors used, and of the smallest with enough ampacity, all sets, cmil.

    A_g A_used / A_least, then the next size up; never larger than the phase conductor itself, but for
    aluminum beside copper, of which as much carries less. InputError beyond the tables. NEC 250.122(A), (B).
    """
    base = area_cmil(table_equipment_ground(breaker_a, metal))
    wanted = GROWN.value(A_g=base, A_used=used_cmil, A_least=least_cmil)
    if _no_less(metal, phase_metal or metal):
        wanted = min(wanted, used_cmil)
    return smallest_size(wanted, "ground_size")


def _no_less(metal: str, phase_metal: str) -> bool:
    """As much of it carries no less than the phase conductor."""
    return metal == phase_metal or metal == "copper"


def ground_check(run: Run, least_size: str, edition: str, key: str) -> Check:
    """The run's equipment grounding conductor, cmil, against the least.

    ``least_size`` is the smallest phase conductor with enough ampacity for this run. NEC 250.122.
    """
    rule = GROUND.of(edition, key, run.name)
    if run.ground_size is None:
        return rule.open("no size is given.")
    if run.breaker_a is None:
        return _ground_without_breaker(run, rule)
    used, least = run.sets * area_cmil(run.size), run.sets * area_cmil(least_size)
    base = table_equipment_ground(run.breaker_a, run.ground_of)
    wanted = equipment_ground(run.breaker_a, run.ground_of, used, least, run.metal)
    have = area_cmil(run.ground_size)
    grown = f", grown with {named(least_size)} to {named(run.size)}" if used > least else ""
    listed = looked_up(
        "A_g",
        "table size",
        "area of the table's size",
        f"{named(base)} {run.ground_of} behind {run.breaker_a:g} A",
        area_cmil(base),
        "cmil",
    )
    return rule.compare(
        demand=area_cmil(wanted),
        capacity=have,
        note=f"{named(run.ground_size)}; {named(wanted)} {run.ground_of} required "
        f"behind {run.breaker_a:g} A{grown}.",
        steps=(listed, GROWN.step(A_g=listed.value, A_used=used, A_least=least)),
    )


def _ground_without_breaker(run: Run, rule: Rule) -> Check:
    """Behind no device the table has no row: as large as the phase conductor is always enough."""
    enough = run.ground_size is not None and area_cmil(run.ground_size) >= area_cmil(run.size)
    if run.ground_size is not None and enough and _no_less(run.ground_of, run.metal):
        return rule.compare(
            demand=area_cmil(run.size),
            capacity=area_cmil(run.ground_size),
            note=f"{named(run.ground_size)}, as large as the phase conductors; no breaker ahead.",
        )
    return rule.open("no breaker ahead to size it by; as large as the phase conductors would do.")


@dataclass(frozen=True, kw_only=True)
class ElectrodeCase:
    """Grounding electrodes and the conductor to them."""

    kind: Electrode = same_as(GroundStationFigures, "electrode", required=True)
    conductor_size: Size = same_as(GroundStationFigures, "electrode_size", required=True)
    conductor_metal: Metal = quantity("", "its metal", default="copper")
    largest_size: Size = same_as(GroundStationFigures, "service_size", required=True)
    largest_metal: Metal = same_as(GroundStationFigures, "service_metal", required=True)
    largest_sets: int = same_as(GroundStationFigures, "service_sets")
    rods: int = same_as(GroundStationFigures, "rods")
    rod_length_ft: float = same_as(GroundStationFigures, "rod_length_ft")
    spacing_ft: float = same_as(GroundStationFigures, "rod_spacing_ft")
    length_ft: float = same_as(GroundStationFigures, "electrode_ft")
    measured_ohm: float | None = same_as(GroundStationFigures, "electrode_ohm")


def table_electrode_conductor(line_cmil: float, line_metal: str, metal: str) -> str:
    """Size by the largest ungrounded conductor, parallel sets added up, cmil. NEC Table 250.66."""
    column = f"{line_metal}_up_to_cmil"
    table = rows("grounding_electrode_conductor")
    return next(row[metal] for row in table if not row[column] or line_cmil <= float(row[column]))


def electrode_conductor(case: ElectrodeCase) -> str:
    """Smallest grounding electrode conductor: the table's, or what is enough for this kind of electrode.

    NEC Table 250.66 and 250.66(A) to (C), where it goes to this electrode only.
    """
    area = case.largest_sets * area_cmil(case.largest_size)
    wanted = table_electrode_conductor(area, case.largest_metal, case.conductor_metal)
    enough = _ENOUGH[case.kind].get(case.conductor_metal)
    return min(wanted, enough, key=area_cmil) if enough else wanted


def rod_resistance_ohm(resistivity_ohm_m: float, length_ft: float, diameter_in: float) -> float:
    """Resistance to earth of one driven rod in ohm: rho / (2 pi L) (ln(4 L / a) - 1), a the radius.

    resistivity_ohm_m
        of the ground, ohm-m.
    length_ft, diameter_in
        of the rod, ft and in.

    Ground of one resistivity, a rod many times longer than thick. H. B. Dwight 1936, IEEE 142;
    from memory, agrees with the nomograph of MIL-HDBK-419A (10 ft by 3/4 in in 10,000 ohm-cm: 32 ohm).
    """
    return ROD.value(rho=resistivity_ohm_m, L=length_ft * 0.3048, a=diameter_in * 0.0254 / 2)


def electrode_checks(case: ElectrodeCase, edition: str) -> list[Check]:
    """The electrode conductor in cmil, and the electrode in ft or, for one rod, ohm.

    NEC 250.66, 250.53(A).
    """
    require_valid(case)
    wanted = electrode_conductor(case)
    conductor = ELECTRODE_CONDUCTOR.of(edition).compare(
        demand=area_cmil(wanted),
        capacity=area_cmil(case.conductor_size),
        note=f"{named(case.conductor_size)} {case.conductor_metal}; {named(wanted)} required "
        f"to {case.kind}, largest line conductor {named(case.largest_size)} {case.largest_metal}.",
    )
    return [conductor, _electrode_check(case, edition)]


def _electrode_check(case: ElectrodeCase, edition: str) -> Check:
    rule = ELECTRODE.of(edition)
    if case.kind != "rods":
        least = RING_LENGTH_FT if case.kind == "ground ring" else ENCASED_LENGTH_FT
        return rule.compare(
            demand=least,
            capacity=case.length_ft,
            note=f"{case.kind}, {case.length_ft:g} ft; at least {least:g} ft.",
        )
    if case.rods == 1:
        return _one_rod(case, edition)
    spacing = rule.compare(
        demand=ROD_SPACING_FT,
        capacity=case.spacing_ft if case.rods else 0.0,
        note=f"{case.rods} rods of {case.rod_length_ft:g} ft, {case.spacing_ft:g} ft apart; "
        f"at least {ROD_SPACING_FT:g} ft.",
    )
    length = rule.compare(
        demand=ROD_LENGTH_FT,
        capacity=case.rod_length_ft,
        note=f"rods of {case.rod_length_ft:g} ft; at least {ROD_LENGTH_FT:g} ft.",
    )
    return spacing if spacing.ratio is not None and spacing.ratio >= (length.ratio or 0) else length


def _one_rod(case: ElectrodeCase, edition: str) -> Check:
    rule = ONE_ROD.of(edition)
    if case.measured_ohm is None:
        return rule.open("one rod and no measured resistance; 25 ohm or a second rod.")
    return rule.compare(
        demand=case.measured_ohm,
        capacity=ONE_ROD_OHM,
        note=f"one rod, measured {case.measured_ohm:g} of {ONE_ROD_OHM:g} ohm.",
    )
