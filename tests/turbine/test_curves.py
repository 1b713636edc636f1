"""A power curve from CSV: either unit, and every fault named by its line."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from installs.turbine.curves import curve_text, read_curve

GOOD = b"speed_mph,power_kw\n7,0\n9,0.3\n\n12,1.9\n20,9\n"


def test_rows_in_mph_and_kw_are_read_as_they_stand() -> None:
    assert read_curve(GOOD) == [
        {"speed_mph": 7.0, "power_kw": 0.0},
        {"speed_mph": 9.0, "power_kw": 0.3},
        {"speed_mph": 12.0, "power_kw": 1.9},
        {"speed_mph": 20.0, "power_kw": 9.0},
    ]


def test_meters_a_second_and_watts_are_turned() -> None:
    """1 m/s is 2.2369 mph (NIST SP 811, Appendix B)."""
    rows = read_curve(b"\xef\xbb\xbfspeed_m_s,power_w\r\n3,100\r\n5,900\r\n10,9000\r\n")
    assert rows[2]["speed_mph"] == pytest.approx(22.369, abs=0.001)
    assert rows[2]["power_kw"] == 9.0


def test_what_is_written_out_is_read_back() -> None:
    assert read_curve(curve_text(read_curve(GOOD)).encode()) == read_curve(GOOD)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "empty"),
        (b"mph;kW\n7;0\n", "first line names"),
        (b"speed_mph,power_kw\n7,0\n9,x\n12,2\n", "Line 3, power_kw: x is not a number"),
        (b"speed_mph,power_kw\n7,0\n9,nan\n12,2\n", "Line 3, power_kw: nan is not a number"),
        (b"speed_mph,power_kw\n7,0\n9\n12,2\n", "Line 3, power_kw: empty is not a number"),
        (b"speed_mph,power_kw\n7,0\n9,1\n8,2\n", "Line 4, speed_mph: is 8 mph, not above the row before it"),
        (b"speed_mph,power_kw\n7,0\n9,-1\n12,2\n", "Line 3, power_kw: -1 kW is too small; at least 0 kW"),
        (b"speed_m_s,power_w\n3,0\n60,900\n", "Line 3, speed_m_s: 60 m/s or 134.216 mph is too large"),
        (b"speed_mph,power_kw\n7,0\n9,1,2\n12,2\n", "Line 3 has more cells, 3,"),
        (b"speed_mph,power_kw\n7,0\n9,1\n", "2 rows"),
        (b"speed_mph,power_kw\n", "0 rows"),
        (b"\xff\xfe7\x00", "not a text file"),
        (b"speed_mph,power_kw\n7,0\x00\n9,1\n", "not a text file"),
        (b'speed_mph,power_kw\n"7,0\n', "not a CSV file"),
        (b"speed_mph,power_kw\n" + b"".join(b"%d,1\n" % i for i in range(1, 300)), "at most 200"),
    ],
)
def test_faults_are_said_at_their_line(content: bytes, said: str) -> None:
    with pytest.raises(ValidationError) as caught:
        read_curve(content)
    assert said in " ".join(caught.value.messages)


def test_watts_under_a_kw_head_are_found_by_the_rotor() -> None:
    """90 kW from 12 mph of wind on a 38 ft rotor is more than there is in it."""
    with pytest.raises(ValidationError, match="more than any rotor"):
        read_curve(b"speed_mph,power_kw\n7,10\n12,90\n20,400\n", diameter_ft=38)


def test_more_than_a_small_turbine_gives_is_asked_for_its_unit() -> None:
    with pytest.raises(ValidationError, match=r"Line 3, power_kw: 900 kW is too large; .* Typed in W\?"):
        read_curve(b"speed_mph,power_kw\n7,100\n12,900\n20,9000\n", diameter_ft=38)


@given(st.binary(max_size=300))
def test_no_file_breaks_it(content: bytes) -> None:
    try:
        rows = read_curve(content)
    except ValidationError:
        return
    assert len(rows) >= 3
