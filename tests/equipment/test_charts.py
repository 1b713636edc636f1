"""Reading a load chart from a sheet of figures: every fault is named where it is."""

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from installs.equipment.charts import MOST_LINES, grid_text, read_chart
from installs.equipment.models import LoadChart

GRID = b'radius_ft,80,100\n20,"38,000",30000\n25,31000,26500\n30,,22600\n'
LONG = b"boom_ft,radius_ft,capacity_lb\n80,20,38000\n80,25,31000\n100,20,30000\n100,25,26500\n100,30,22600\n"


def faults(content: bytes) -> str:
    with pytest.raises(ValidationError) as error:
        read_chart(content)
    return " ".join(error.value.messages)


def test_a_chart_as_printed_and_one_figure_a_line_are_the_same() -> None:
    assert read_chart(GRID) == read_chart(LONG)
    assert {"boom_ft": 80, "radius_ft": 30, "capacity_lb": 0} not in read_chart(GRID)
    assert len(read_chart(GRID)) == 5


def test_what_is_written_out_reads_back() -> None:
    chart = LoadChart(ratings=read_chart(GRID))
    assert read_chart(grid_text(chart.grid()).encode()) == chart.ratings


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "empty"),
        (b"\n,,\n", "empty"),
        (b"radius,80\n20,38000\n", "first line"),
        (b"radius_ft,80\n20,much\n", "Line 2, column 2, boom 80 ft, capacity_lb: much is not a number"),
        (b"radius_ft,80\n20,nan\n", "not a number"),
        (b"radius_ft,80\n20,inf\n", "not a number"),
        (b"radius_ft,80\n20,-5\n", "-5 lb is too small; at least 1 lb"),
        (b"radius_ft,80\n20,*\n", "* is not a number"),
        (b"radius_ft,80\n0,38000\n", "Line 2, radius_ft: 0 ft is too small"),
        (b"radius_ft,80\n20,38000,1\n", "more cells"),
        (b"radius_ft,80\n20,9e6\n", "9,000,000 lb is too large; at most 3,000,000 lb"),
        (b'radius_ft,80\n20,"38,5"\n', "Line 2, column 2, boom 80 ft, capacity_lb: 38,5 is not a number"),
        (b'"boom_ft",radius_ft,capacity_lb,"of\npage"\n80,20,x,7\n', "Line 3, capacity_lb: x is not"),
        (b"boom_ft,radius_ft,capacity_lb\n80,20,38000,9\n", "Line 2 has more cells, 4,"),
        (b"radius_ft,8000\n20,38000\n", "Line 1, column 2, boom_ft: 8000 ft is too large"),
        (b"boom_ft,radius_ft,capacity_lb\n80,20\n", "Line 2, capacity_lb: empty is not a number"),
        (b"radius_ft,80\n20,38000\n20,38000\n", "twice"),
        (b"radius_ft,80\n20,38000\n25,39000\n", "more than"),
        (b"radius_ft,80\n", "no figures"),
        (b"\xff\xfe\x00r", "not a text file"),
        (b"radius_ft\x00", "not a text file"),
        (b'radius_ft,"80\n', "CSV"),
        (b"radius_ft,80\n" + b"20,38000\n" * (MOST_LINES + 1), "at most"),
        ("radius_ft,80\n20,３８０００kg\n".encode(), "not a number"),
    ],
)
def test_a_bad_chart_says_where(content: bytes, said: str) -> None:
    assert said in faults(content)


def test_many_faults_are_cut_short() -> None:
    assert "more" in faults(b"radius_ft,80\n" + b"x,y\n" * 40)


@given(st.binary(max_size=300))
def test_no_bytes_break_the_reader(content: bytes) -> None:
    try:
        read_chart(content)
    except ValidationError as error:
        assert error.messages
