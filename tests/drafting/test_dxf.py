"""The shop cut file, read back with ezdxf."""

from __future__ import annotations

import io

import pytest

from installs.drafting import Drawing, to_dxf


def read(data: bytes):
    import ezdxf

    return ezdxf.read(io.StringIO(data.decode("utf-8")))


def plate() -> Drawing:
    drawing = Drawing("Bolt template", px_per_ft=64).rectangle(-1, -1, 2, 3, layer="template plate")
    for x, y in ((-0.5, -0.5), (0.5, 0.5)):
        drawing.circle((x, y), 0.05, layer="anchor bolt")
    return drawing.arc((0, 0), 0.5, 20, 200, layer="template plate")


@pytest.mark.parametrize(("unit", "factor", "code"), [("ft", 1, 2), ("in", 12, 1)])
def test_extents_read_back_in_the_stated_unit(unit, factor, code):
    from ezdxf import bbox

    document = read(to_dxf(plate(), unit=unit))
    box = bbox.extents(document.modelspace())
    assert tuple(box.extmin)[:2] == pytest.approx((-1 * factor, -1 * factor))
    assert tuple(box.extmax)[:2] == pytest.approx((1 * factor, 2 * factor))
    assert document.header["$INSUNITS"] == code  # AutoCAD DXF Reference: 1 inches, 2 feet


def test_holes_are_circles_of_their_own_size_and_place():
    circles = read(to_dxf(plate(), unit="in")).modelspace().query("CIRCLE")
    assert sorted(tuple(round(v, 6) for v in c.dxf.center)[:2] for c in circles) == [(-6, -6), (6, 6)]
    assert [c.dxf.radius for c in circles] == pytest.approx([0.6, 0.6])


def test_layers_bear_our_own_names():
    layers = {e.dxf.layer for e in read(to_dxf(plate())).modelspace()}
    assert layers == {"MASTWRIGHT-TEMPLATE-PLATE", "MASTWRIGHT-ANCHOR-BOLT"}


def test_a_cut_file_leaves_out_what_must_not_be_cut():
    drawing = plate().dimension((-1, -1), (1, -1)).text((0, 0), "this side up").balloon((2, 2), 1, (0, 0))
    drawing.hatch("steel", [(-1, -1), (1, -1), (1, 2)]).crayon_loop((0, 0), 50, 50).center_mark((0, 0))
    whole, cut = (read(to_dxf(drawing, cut_only=only)).modelspace() for only in (False, True))
    assert len(whole.query("TEXT")) == 3
    assert len(cut) == len(read(to_dxf(plate())).modelspace())


def test_the_arc_keeps_its_sense():
    (arc,) = read(to_dxf(plate())).modelspace().query("ARC")
    assert (arc.dxf.start_angle % 360, arc.dxf.end_angle % 360) == pytest.approx((20, 200))


def test_the_file_passes_the_library_s_own_audit():
    drawing = plate().dimension((-1, -1), (1, -1)).hatch("concrete", [(-1, -1), (1, -1), (1, 2)])
    assert not read(to_dxf(drawing)).audit().errors


def test_the_same_drawing_is_the_same_bytes():
    assert to_dxf(plate()) == to_dxf(plate())


def test_another_unit_is_refused():
    with pytest.raises(ValueError, match="ft or in"):
        to_dxf(plate(), unit="m")


def test_a_drawing_with_nan_is_refused():
    with pytest.raises(ValueError):
        to_dxf(Drawing("bad").line((0, 0), (float("nan"), 0)))
