"""The calculations of the pour from the command line: inputs echoed, results, checks, steps."""

from __future__ import annotations

import json

import pytest

from sitecalc.__main__ import calculations, main

CASES = {
    "pour.mix": {
        "fc_psi": 4500,
        "foundation_fc_psi": 4500,
        "exposure": "F2",
        "aggregate_in": 0.75,
        "air_pct": 6,
        "w_cm": 0.43,
    },
    "pour.truck": {"limits": {"slump_in": 4, "air_pct": 6, "least_dimension_in": 42}, "slump_in": 4.25},
    "pour.evaporation": {"concrete_f": 87, "air_f": 80, "humidity_pct": 50, "wind_mph": 12},
    "pour.curing": {
        "poured_on": "2031-04-24",
        "through": "2031-04-26",
        "zone": "America/Chicago",
        "concrete": [{"sensor": "edge", "at": "2031-04-25T12:00:00-05:00", "temp_f": 55}],
    },
    "pour.maturity": {
        "mix": {"datum_f": 32, "q_k": 5000, "reference_f": 68},
        "stretches": [{"hours": 12, "concrete_f": 68}],
    },
    "pour.strength": {"fc_psi": 4500},
    "pour.acceptance": {"fc_psi": 4500, "tests_psi": [4600, 4700, 4800]},
    "pour.curve": {"fc28_psi": 4500, "age_days": 7},
    "pour.forecast": {
        "expected": {"normals_f": [12, 17, 29, 43, 56, 66, 71, 69, 59, 45, 29, 16]},
        "counted_through": "2031-05-01",
        "counted_days": 3,
    },
    "pour.layers": {
        "thickness_in": 42,
        "yards": 36,
        "truck_yd3": 9,
        "spacing_minutes": 30,
        "joint_minutes": 60,
    },
    "pour.sampling": {"yards": 38, "trucks": 4},
    "pour.cold": {"least_dimension_in": 42, "air_f": 25, "ground_f": 36},
    "pour.thermal": {
        "concrete": [{"sensor": "edge", "at": "2031-04-25T12:00:00-05:00", "temp_f": 55}],
        "least_dimension_in": 54,
        "zone": "America/Chicago",
    },
    "pour.calibration": {
        "pairs": [
            {"age_days": age, "psi": psi}
            for age, psi in ((1, 1710), (3, 2990), (7, 3890), (14, 4510), (28, 5000))
        ],
        "age_days": 10,
    },
    "pour.tonight": {
        "now": "2031-11-26T17:00:00-06:00",
        "zone": "America/Chicago",
        "poured_at": "2031-11-24T12:00:00-06:00",
        "least_dimension_in": 42,
        "protected_until": "2031-11-30T12:00:00-06:00",
    },
}


def test_no_calculation_of_the_pour_is_left_out():
    assert {name for name in calculations() if name.startswith("pour.")} == set(CASES)


@pytest.mark.parametrize("name", CASES)
def test_every_calculation_runs_and_answers_json(name, tmp_path, capsys):
    path = tmp_path / "case.json"
    path.write_text(json.dumps(CASES[name]))
    assert main([name, str(path)]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["calculation"] == name
    assert answer["results"]


@pytest.mark.parametrize(
    ("poured_on", "said"), [("yesterday", "poured_on: is not written like 2031-05-09"), (7, "poured_on")]
)
def test_a_bad_date_is_one_clear_line(poured_on, said, tmp_path, capsys):
    path = tmp_path / "case.json"
    path.write_text(json.dumps({**CASES["pour.curing"], "poured_on": poured_on}))
    assert main(["pour.curing", str(path)]) == 2
    assert said in capsys.readouterr().err


def test_an_instant_without_offset_is_refused(tmp_path, capsys):
    case = {
        **CASES["pour.curing"],
        "concrete": [{"sensor": "edge", "at": "2031-04-25T12:00:00", "temp_f": 55}],
    }
    path = tmp_path / "case.json"
    path.write_text(json.dumps(case))
    assert main(["pour.curing", str(path)]) == 2
    assert "concrete[0].at: has no offset" in capsys.readouterr().err
