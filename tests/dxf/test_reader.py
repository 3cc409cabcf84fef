"""DXF files made entity by entity with ezdxf, read in true size; numbers worked out by hand."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest

from plotlib import dxf
from plotlib.errors import DxfError, InvalidValue, NotRead

MM = 4  # $INSUNITS, DXF reference, HEADER section: 1 inches, 4 millimetres, 5 centimetres


@pytest.fixture
def paper() -> Any:
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = MM
    return document


def saved(document: Any, folder: Path) -> Path:
    path = folder / "plan.dxf"
    document.saveas(path)
    return path


def test_lines_points_and_polylines_in_their_order(paper: Any, tmp_path: Path) -> None:
    space = paper.modelspace()
    space.add_line((10, 10), (40, 50))
    space.add_point((20, 20))
    space.add_lwpolyline([(10, 10), (20, 10), (20, 20)], close=True)
    space.add_polyline3d([(10, 10, 5), (11, 12, 9)])
    art = dxf.read(saved(paper, tmp_path))
    assert [stroke.tolist() for stroke in art.drawing] == [
        [[0, 0], [30, 40]],
        [[10, 10]],
        [[0, 0], [10, 0], [10, 10], [0, 0]],
        [[0, 0], [1, 2]],
    ]
    assert art.size == (30, 40)
    assert art.left_out == ()


@pytest.mark.parametrize(("code", "mm"), [(1, 25.4), (4, 1.0), (5, 10.0), (6, 1000.0)])
def test_units_of_the_file(paper: Any, tmp_path: Path, code: int, mm: float) -> None:
    paper.header["$INSUNITS"] = code
    paper.modelspace().add_line((0, 0), (2, 0))
    path = saved(paper, tmp_path)
    assert dxf.read(path).drawing.length == pytest.approx(2 * mm)
    assert dxf.read(path, unit=3).drawing.length == pytest.approx(6)


def test_a_file_without_a_unit_says_what_helps(paper: Any, tmp_path: Path) -> None:
    paper.header["$INSUNITS"] = 0
    paper.modelspace().add_line((0, 0), (2, 0))
    with pytest.raises(DxfError, match="unit=1"):
        dxf.read(saved(paper, tmp_path))


@pytest.mark.parametrize("tolerance", [0.1, 0.01])
def test_curves_are_within_the_tolerance(paper: Any, tmp_path: Path, tolerance: float) -> None:
    space = paper.modelspace()
    paper.header["$INSUNITS"] = 5  # centimetres, so that the tolerance must be scaled
    space.add_point((-10, -10))  # so that the lower left corner is known
    space.add_circle((0, 0), 10)
    space.add_arc((0, 0), 10, 30, 120)
    art = dxf.read(saved(paper, tmp_path), tolerance=tolerance)
    for stroke in art.drawing[1:]:
        middles = (stroke[1:] + stroke[:-1]) / 2
        assert np.hypot(*(stroke - 100).T) == pytest.approx(100, abs=1e-9)
        assert np.hypot(*(middles - 100).T).min() >= 100 - tolerance - 1e-9
    assert art.drawing.is_closed.tolist() == [False, True, False]
    first, last = art.drawing[2][[0, -1]] - 100
    assert math.degrees(math.atan2(*first[::-1])) == pytest.approx(30)
    assert math.degrees(math.atan2(*last[::-1])) == pytest.approx(120)


def test_an_ellipse_and_a_spline(paper: Any, tmp_path: Path) -> None:
    space = paper.modelspace()
    space.add_ellipse((0, 0), major_axis=(20, 0), ratio=0.5)
    space.add_open_spline([(0, 0), (10, 20), (20, -20), (30, 0)], degree=3)
    ellipse, spline = dxf.read(saved(paper, tmp_path), tolerance=0.001).drawing
    corner = ellipse.min(axis=0)
    x, y = (ellipse - corner - (20, 10)).T
    assert (x / 20) ** 2 + (y / 10) ** 2 == pytest.approx(1, abs=1e-3)
    # a cubic with four control points and clamped ends is a Bezier curve: (15, 0) in its middle
    far = np.hypot(*(spline - spline[0] - (15, 0)).T)
    assert far.min() < 0.6
    assert (spline[-1] - spline[0]).tolist() == pytest.approx([30, 0])


def test_bulges_are_arcs(paper: Any, tmp_path: Path) -> None:
    # DXF reference, LWPOLYLINE: the bulge is the tangent of a quarter of the arc's angle, to the
    # right of the way for positive ones: 1 is half a circle, counter-clockwise
    shape = [(0, 0, 0), (10, 0, 1), (10, 10, 0), (0, 10, -1)]
    paper.modelspace().add_lwpolyline(shape, format="xyb", close=True)
    (stroke,) = dxf.read(saved(paper, tmp_path), tolerance=0.001).drawing
    assert np.ptp(stroke[:, 0]) == pytest.approx(15, abs=0.01)  # out by 5 and in by 5
    assert stroke[0] == pytest.approx(stroke[-1], abs=1e-9)
    length = np.hypot(*np.diff(stroke, axis=0).T).sum()
    assert length == pytest.approx(20 + 10 * math.pi, abs=0.02)


def test_blocks_are_placed_turned_and_scaled(paper: Any, tmp_path: Path) -> None:
    block = paper.blocks.new("BOAT")
    block.add_line((0, 0), (10, 0))
    outer = paper.blocks.new("FLEET")
    outer.add_blockref("BOAT", (5, 5), dxfattribs={"rotation": 90})
    space = paper.modelspace()
    space.add_point((0, 0))
    space.add_blockref("FLEET", (100, 0), dxfattribs={"xscale": 2, "yscale": 2})
    _, boat = dxf.read(saved(paper, tmp_path)).drawing
    assert boat.tolist() == pytest.approx(np.array([[110, 10], [110, 30]]))


def test_layers_are_pens_and_hidden_ones_are_not_there(paper: Any, tmp_path: Path) -> None:
    paper.layers.add("Coast", color=5, lineweight=35)
    paper.layers.add("Grid", color=7)
    off = paper.layers.add("Notes")
    off.off()
    space = paper.modelspace()
    space.add_line((0, 0), (9, 0), dxfattribs={"layer": "Coast"})
    space.add_line((0, 1), (9, 1), dxfattribs={"layer": "Grid"})
    space.add_line((0, 2), (9, 2), dxfattribs={"layer": "Grid", "color": 1, "lineweight": 50})
    space.add_line((0, 3), (9, 3), dxfattribs={"layer": "Notes"})
    pens = dxf.read(saved(paper, tmp_path)).drawing.pens
    # colours 1, 5 and 7 are red, blue, and black on paper (DXF reference)
    assert [(pen.name, pen.colour, pen.width) for pen in pens] == [
        ("Coast", "#0000ff", 0.35),
        ("Grid #1a1a1a 0.4", "#1a1a1a", 0.4),
        ("Grid #ff0000 0.5", "#ff0000", 0.5),
    ]


def test_hatches_are_areas(paper: Any, tmp_path: Path) -> None:
    hatch = paper.modelspace().add_hatch(color=3)
    hatch.paths.add_polyline_path([(0, 0), (10, 0), (10, 10), (0, 10)], is_closed=True)
    hatch.paths.add_polyline_path([(4, 4), (6, 4), (6, 6), (4, 6)], is_closed=True, flags=16)
    art = dxf.read(saved(paper, tmp_path))
    assert len(art.drawing) == 0
    (area,) = art.areas
    assert area.region.area == pytest.approx(100 - 4)
    assert area.colour == "#00ff00"


def test_text_is_listed_with_its_line(paper: Any, tmp_path: Path) -> None:
    space = paper.modelspace()
    space.add_line((0, 0), (9, 0))
    space.add_text("Skerrow")
    path = saved(paper, tmp_path)
    with pytest.warns(dxf.DxfWarning, match="TEXT"):
        art = dxf.read(path)
    (item,) = art.left_out
    lines = path.read_text(encoding="utf-8").splitlines()
    assert lines[item.line - 1].strip() == item.id
    assert lines[item.line - 3].strip() == "TEXT"
    with pytest.raises(DxfError, match="TEXT"):
        dxf.read(path, strict=True)


@pytest.mark.parametrize(
    "data",
    [b"", b"not a drawing", b"\x00" * 300, b"0\nSECTION\n2\nENTITIES\n0\nLINE\n10\nx\n", b"<svg/>"],
)
def test_what_is_no_dxf_is_refused(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "bad.dxf"
    path.write_bytes(data)
    with pytest.raises(DxfError):
        dxf.read(path)
    with pytest.raises(NotRead, match=r"^cannot read the DXF .*none\.dxf.*there is no such file"):
        dxf.read(tmp_path / "none.dxf")


def test_blocks_that_multiply_end_at_the_budget(paper: Any, tmp_path: Path) -> None:
    inner = paper.blocks.new("B0")
    inner.add_line((0, 0), (1, 0))
    for level in range(1, 9):
        block = paper.blocks.new(f"B{level}")
        for k in range(10):
            block.add_blockref(f"B{level - 1}", (k, 0))
    paper.modelspace().add_blockref("B8", (0, 0))
    with pytest.raises(DxfError, match="budget"):
        dxf.read(saved(paper, tmp_path), budget=1_000)


def test_blocks_that_hold_each_other_end(paper: Any, tmp_path: Path) -> None:
    one = paper.blocks.new("ONE")
    one.add_line((0, 0), (1, 0))
    one.add_blockref("TWO", (1, 0))
    paper.blocks.new("TWO").add_blockref("ONE", (1, 0))
    paper.modelspace().add_blockref("ONE", (0, 0))
    with pytest.raises(DxfError):
        dxf.read(saved(paper, tmp_path), budget=100_000)


@pytest.mark.parametrize(
    "options", [{"unit": 0}, {"unit": "mm"}, {"tolerance": -1}, {"budget": 0}, {"strict": 1}]
)
def test_options_are_checked(tmp_path: Path, options: dict[str, Any]) -> None:
    with pytest.raises(InvalidValue):
        dxf.read(tmp_path / "none.dxf", **options)
