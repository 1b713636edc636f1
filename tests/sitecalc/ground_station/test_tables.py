"""The tables hold together: each has a second relation it must obey, apart from the copying."""

import math

import pytest

from sitecalc.ground_station.tables import SIZES, area_cmil, rows, smallest_size

# NEC 2017 Chapter 9 Table 9, effective Z at 0.85 power factor as printed, ohm to neutral per 1,000 ft:
# copper in PVC, aluminum, steel conduit; aluminum conductors in the same three
PRINTED_ZE = """
14  2.7  2.7  2.7  -  -  -
12  1.7  1.7  1.7  2.8  2.8  2.8
10  1.1  1.1  1.1  1.8  1.8  1.8
8   0.69 0.69 0.70 1.1  1.1  1.1
6   0.44 0.45 0.45 0.71 0.72 0.72
4   0.29 0.29 0.30 0.46 0.46 0.46
3   0.23 0.24 0.24 0.37 0.37 0.37
2   0.19 0.19 0.20 0.30 0.30 0.30
1   0.16 0.16 0.16 0.24 0.24 0.25
1/0 0.13 0.13 0.13 0.19 0.20 0.20
2/0 0.11 0.11 0.11 0.16 0.16 0.16
3/0 0.088 0.092 0.094 0.13 0.13 0.14
4/0 0.074 0.078 0.080 0.11 0.11 0.11
250 0.066 0.070 0.073 0.094 0.098 0.10
300 0.059 0.063 0.065 0.082 0.086 0.088
350 0.053 0.058 0.060 0.073 0.077 0.080
400 0.049 0.053 0.056 0.066 0.071 0.073
500 0.043 0.048 0.050 0.057 0.061 0.064
"""


def test_every_printed_effective_impedance_follows_from_resistance_and_reactance():
    """NEC Chapter 9 Table 9 note 2, to one unit of the last printed digit."""
    from sitecalc.ground_station.voltage_drop import effective_z

    table = {row["size"]: row for row in rows("conductor_impedance")}
    for line in PRINTED_ZE.split("\n")[1:-1]:
        size, *printed = line.split()
        for text, metal, wall in zip(
            printed, ["cu"] * 3 + ["al"] * 3, ["pvc", "aluminum", "steel"] * 2, strict=True
        ):
            if text == "-":
                assert table[size][f"{metal}_{wall}"] == ""
                continue
            x = float(table[size]["x_steel" if wall == "steel" else "x_other"])
            digit = 10.0 ** -len(text.partition(".")[2])
            ze = effective_z(float(table[size][f"{metal}_{wall}"]), x, 0.85)
            assert abs(ze - float(text)) <= digit * 1.001, (size, metal, wall)


def test_ambient_factors_are_the_square_root_of_the_temperature_rise():
    """NEC 310.15(B) equation: sqrt((Tc - Ta) / (Tc - 30)), Ta the upper end of the band, two decimals."""
    for row in rows("conductor_ambient"):
        ambient = float(row["up_to_c"])
        for rated in (60, 75, 90):
            text = row[f"factor_{rated}"]
            if ambient >= rated:
                assert text == ""
            else:
                assert abs(float(text) - math.sqrt((rated - ambient) / (rated - 30))) <= 0.0051


@pytest.mark.parametrize(("column", "k"), [("cu_ohm_kft", 12.9), ("al_ohm_kft", 21.2)])
def test_resistance_is_near_the_k_of_the_trade_over_circular_mils(column, k):
    """K = 12.9 (copper), 21.2 (aluminum) ohm-cmil/ft at 75 C, common practice; Table 8 within 0.8 %."""
    for row in rows("conductor_resistance"):
        assert float(row[column]) == pytest.approx(1000 * k / float(row["cmil"]), rel=0.008)


def test_areas_of_awg_sizes_follow_the_gauge():
    """ASTM B258: a step of the gauge is the 39th root of 92 in diameter; the table rounds to 0.1 %."""
    for size, number in [(s, int(s)) for s in SIZES[:9]] + [
        ("1/0", 0),
        ("2/0", -1),
        ("3/0", -2),
        ("4/0", -3),
    ]:
        diameter_mil = 5 * 92 ** ((36 - number) / 39)
        assert area_cmil(size) == pytest.approx(diameter_mil**2, rel=0.001)


def test_conduit_areas_are_circles_of_the_printed_diameter():
    """NEC 2017 Chapter 9 Table 4 prints both."""
    for row in rows("conduit_area"):
        circle = math.pi * float(row["diameter_in"]) ** 2 / 4
        assert float(row["area_in2"]) == pytest.approx(circle, rel=0.002)


@pytest.mark.parametrize(
    "name",
    ["conductor_ampacity", "conductor_area", "conduit_area"],
)
def test_larger_conductors_and_conduits_have_larger_numbers(name):
    table = rows(name)
    columns = [c for c in table[0] if c not in ("size", "kind", "trade_size")]
    kinds = {row.get("kind", "") for row in table}
    for kind in kinds:
        own = [row for row in table if row.get("kind", "") == kind]
        for column in columns:
            numbers = [float(row[column]) for row in own if row[column]]
            assert numbers == sorted(set(numbers)), (name, kind, column)


def test_hotter_columns_carry_more_and_copper_more_than_aluminum():
    for row in rows("conductor_ampacity"):
        copper = [float(row[f"cu_{c}"]) for c in (60, 75, 90)]
        assert copper == sorted(copper)
        if row["al_75"]:
            assert all(float(row[f"al_{c}"]) < float(row[f"cu_{c}"]) for c in (60, 75, 90))


def test_resistance_falls_with_size_and_steel_has_more_reactance():
    falling = [float(row["cu_ohm_kft"]) for row in rows("conductor_resistance")]
    assert falling == sorted(falling, reverse=True)
    for row in rows("conductor_impedance"):
        assert float(row["x_steel"]) > float(row["x_other"])
        assert float(row["cu_aluminum"]) >= float(row["cu_pvc"])


def test_alternating_current_resistance_is_not_under_direct_current_resistance():
    direct = {row["size"]: row for row in rows("conductor_resistance")}
    for row in rows("conductor_impedance"):
        # both are rounded; 4 % covers the two figures of the small sizes
        assert float(row["cu_pvc"]) >= float(direct[row["size"]]["cu_ohm_kft"]) * 0.96


def test_standard_breakers_rise_and_number_37():
    """NEC 2017 Table 240.6(A)."""
    sizes = [int(row["amps"]) for row in rows("standard_breakers")]
    assert sizes == sorted(set(sizes))
    assert len(sizes) == 37 and sizes[0] == 15 and sizes[-1] == 6000


def test_grounding_tables_rise_and_aluminum_is_larger_than_copper():
    for name in ("equipment_grounding", "grounding_electrode_conductor"):
        for column in ("copper", "aluminum"):
            areas = [area_cmil(row[column]) for row in rows(name)]
            assert areas == sorted(set(areas))
        assert all(area_cmil(row["aluminum"]) > area_cmil(row["copper"]) for row in rows(name))


def test_the_smallest_size_of_an_area_is_not_a_circular_mil_short():
    assert smallest_size(16_510) == "8"
    assert smallest_size(16_511) == "6"
