from __future__ import annotations

from datetime import UTC, datetime

import pytest

from sitecalc.inputs import InputError
from sitecalc.pour.logger import decoded, parse_log

HEAD = "Time,Edge (F),Core (F),Air (F)\n"


def read(text: str, **how):
    return parse_log(text, zone="America/Chicago", **how)


def test_columns_become_sensors_and_air_is_kept_apart():
    log = read(HEAD + "2031-04-24 11:00,61.5,63,48\n2031-04-24 11:30,61,,47.5\n")
    assert {t.sensor: list(t.temp_f) for t in log.concrete} == {"edge": [61.5, 61], "core": [63]}
    assert [list(t.temp_f) for t in log.air] == [[48, 47.5]]
    assert log.first == datetime(2031, 4, 24, 16, tzinfo=UTC)
    assert log.sensors == ("edge", "core", "air")


@pytest.mark.parametrize(
    "text",
    [
        "a title line\nserial 1234\nDate;Time;edge (F)\n04/24/2031;11:00 AM;61.5\n",
        "Timestamp\tedge, F\n04/24/2031 11:00\t61.5\n",
        '"Date Time","edge, °F"\n"04/24/31 11:00:00 AM","61.5"\n',
        "time,edge [C]\n2031-04-24T16:00:00Z,16.38888888888889\n",
    ],
)
def test_the_ways_loggers_write(text):
    (reading,) = read(text).concrete[0].readings()
    assert reading.sensor == "edge"
    assert reading.temp_f == pytest.approx(61.5)
    assert reading.at == datetime(2031, 4, 24, 16, tzinfo=UTC)


def test_a_column_without_unit_takes_the_one_asked_for():
    assert read("time,edge\n2031-04-24 11:00,16.5\n", unit="C").concrete[0].temp_f[0] == pytest.approx(61.7)


def test_a_sensor_named_c_is_not_in_celsius():
    assert read("time,probe C\n2031-04-24 11:00,61\n").concrete[0].temp_f[0] == 61


def test_the_hour_that_comes_twice_is_told_by_the_order_of_lines():
    rows = "".join(f"2031-11-02 {t},60\n" for t in ("00:30", "01:00", "01:30", "01:00", "01:30", "02:00"))
    log = read("time,edge (F)\n" + rows)
    hours = [r.at for r in log.concrete[0].readings()]
    assert [(h - hours[0]).total_seconds() / 1800 for h in hours] == [0, 1, 2, 3, 4, 5]
    assert "set back on Nov 2" in log.notes[0]


def test_a_logger_on_standard_time_does_not_follow_the_clock():
    log = read("time,edge (F)\n2031-06-01 12:00,60\n", clock="standard")
    assert log.first == datetime(2031, 6, 1, 18, tzinfo=UTC)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no header"),
        ("just words\nand more\n", "no header"),
        (HEAD, "no reading"),
        (HEAD + "2031-04-24 11:00,NaN,63,48\n", "line 2, edge: NaN is not a number"),
        (HEAD + "2031-04-24 11:00,inf,63,48\n", "is not a number"),
        (HEAD + "2031-04-24 11:00,61,63,48\nyesterday,1,2,3\n", 'line 3: "yesterday" is not a time'),
        (HEAD + "2031-04-24 11:00,6100,63,48\n", "line 2, edge: 6100 F is too large; at most 212 F"),
        ("time,edge [C]\n2031-04-24 11:00,150\n", "line 2, edge: 150 C or 302 F is too large; at most 212 F"),
        (
            'time,"edge (F)\nlow"\n2031-04-24 11:00,60\n2031-04-24 12:00,x\n',
            "line 4, edge: x is not a number",
        ),
        ("time,edge (F)\n2031-04-24 11:00,61,5\n", "line 2 has 3 cells under 2 columns"),
        (HEAD + "2031-03-09 02:30,61,63,48\n", "did not exist at the site"),
        ("time,edge,edge\n2031-04-24 11:00,60,60\n", "two columns"),
    ],
)
def test_what_is_wrong_is_said_with_its_line(text, said):
    with pytest.raises(InputError, match=said) as error:
        read(text)
    assert error.value.field == "file"


def test_celsius_taken_for_fahrenheit_is_noticed_and_can_be_insisted_on():
    text = "time,edge\n" + "".join(f"2031-04-24 {h}:00,{16 + h / 10}\n" for h in range(10, 24))
    with pytest.raises(InputError, match="Is the file in C") as error:
        read(text)
    assert error.value.field == "unit"
    assert read(text, sure=True).concrete[0].temp_f[0] == 17
    assert read(text, unit="C").concrete[0].temp_f[0] == pytest.approx(62.6)


@pytest.mark.parametrize(
    ("content", "text"),
    [
        ("time,edge °F".encode(), "time,edge °F"),
        ("time,edge °F".encode("cp1252"), "time,edge °F"),
        ("time,edge °F".encode("utf-16"), "time,edge °F"),
        ("﻿time,edge".encode(), "time,edge"),
    ],
)
def test_letters_of_any_common_kind(content, text):
    assert decoded(content) == text


@pytest.mark.parametrize("content", [b"", b"  \n", b"PK\x03\x04\x00\x00", b"\xff\xfe\x00"])
def test_what_is_no_text_is_refused(content):
    with pytest.raises(InputError, match="file"):
        decoded(content)


def test_what_was_met_on_the_way_is_said():
    rows = ["2031-04-24 11:00,61,63,48", "2031-04-24 12:00,61,63,48", "2031-04-24 12:00,61,63,48"]
    rows += ["2031-04-24 13:00,61,,48", "2031-04-25 03:00,14,63,48", "2031-04-25 03:30,62,63,48"]
    log = read(HEAD + "\n".join(rows) + "\n")
    said = " ".join(log.notes)
    assert "one reading is there twice" in said
    assert "core: 1 blank cells" in said
    assert "from 14 to 62 F within the hour" in said
    assert "the longest 14 h from Apr 24 1:00 PM" in said


def test_columns_in_celsius_are_said():
    assert "turned into F: edge" in read("time,edge (C)\n2031-04-24 11:00,16\n").notes[0]


def test_lines_out_of_order_are_put_in_order():
    log = read("time,edge (F)\n2031-04-24 12:00,62\n2031-04-24 11:00,61\n")
    assert list(log.concrete[0].temp_f) == [61, 62]
    assert "go back in time once" in log.notes[0]


def test_lines_with_and_without_offset_do_not_go_together():
    with pytest.raises(InputError, match="has no offset"):
        read("time,edge (F)\n2031-04-24T12:00:00Z,62\n2031-04-24 13:00,61\n")


def test_a_file_on_record_is_read_as_it_was_taken():
    """What was passed over then is passed over now: a record never turns into none."""
    text = "time,edge (F)\n2031-04-24 11:00,61,5\n"
    assert read(text, taken=True).concrete[0].temp_f[0] == 61
