"""Basic shapes as paths: W3C, *Scalable Vector Graphics (SVG) 2*, chapter Basic Shapes."""

from __future__ import annotations

import math

import numpy as np
import pytest

from plotlib.svg.reading.basic_shapes import shape_outline
from plotlib.svg.reading.outline import Outline
from plotlib.svg.reading.places import corner_box, flattened


def made(kind: str, text: str = "", **lengths: float) -> Outline:
    return shape_outline(kind, lengths.get, lambda _: text)


def length_of(outline: Outline) -> float:
    points, offsets = flattened(outline.controls, outline.firsts, 1e-7)
    assert len(offsets) == 2
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def test_a_rectangle_begins_at_its_corner_and_runs_to_the_right() -> None:
    outline = made("rect", x=1, y=2, width=10, height=5)
    assert outline.controls[:, 0].tolist() == [[1, 2], [11, 2], [11, 7], [1, 7]]
    assert outline.shut.tolist() == [True]


def test_a_rounded_rectangle_has_the_published_outline() -> None:
    """100 x 50 with rx 10: 2 (80 + 30) + 20 pi = 282.831853072."""
    outline = made("rect", width=100, height=50, rx=10)
    assert length_of(outline) == pytest.approx(282.831853072, abs=1e-4)
    assert outline.controls[0, 0].tolist() == [10, 0]


@pytest.mark.parametrize(
    ("given", "radii"),
    [
        ({"rx": 4}, (4, 4)),
        ({"ry": 4}, (4, 4)),
        ({"rx": 4, "ry": 2}, (4, 2)),
        ({"rx": 900, "ry": 2}, (50, 2)),  # at most half of the side
        ({"rx": -1, "ry": 3}, (3, 3)),  # invalid is not given
        ({"rx": 0, "ry": 3}, (0, 0)),  # no rounding where one is 0
    ],
)
def test_radii_of_rectangles(given: dict[str, float], radii: tuple[float, float]) -> None:
    outline = made("rect", width=100, height=50, **given)
    assert outline.controls[0, 0].tolist() == [radii[0], 0]
    length = length_of(outline)
    if radii[0] == radii[1]:
        wanted = 300 - 8 * radii[0] + 2 * math.pi * radii[0]
        assert length == pytest.approx(wanted, abs=1e-4)


def test_circles_and_ellipses_begin_on_the_right_and_run_downward() -> None:
    circle = made("circle", cx=5, cy=6, r=4)
    assert circle.controls[0, 0].tolist() == [9, 6]
    assert circle.controls[3, 3] == pytest.approx([5, 10])
    assert length_of(circle) == pytest.approx(8 * math.pi, abs=1e-5)
    assert corner_box(circle) == pytest.approx((1, 2, 9, 10), abs=1e-6)
    ellipse = made("ellipse", cx=5, cy=6, rx=4, ry=2)
    assert corner_box(ellipse) == pytest.approx((1, 4, 9, 8), abs=1e-6)
    assert made("ellipse", rx=4).controls[0, 0].tolist() == [4, 0]  # ry is auto


def test_lines_and_polygons() -> None:
    assert made("line", x1=1, x2=5, y2=3).controls[0, [0, 3]].tolist() == [[1, 0], [5, 3]]
    zigzag = made("polyline", "0,0 10,5 20 0")
    assert zigzag.controls[:, 3].tolist() == [[10, 5], [20, 0]]
    assert not zigzag.shut[0]
    triangle = made("polygon", "0,0 10,5 20 0")
    assert triangle.controls[-1, 3].tolist() == [0, 0]
    assert triangle.shut[0]


@pytest.mark.parametrize(
    ("kind", "given", "fault"),
    [
        ("rect", {"width": 0, "height": 5}, ""),
        ("rect", {"width": -1, "height": 5}, "below 0"),
        ("circle", {"r": 0}, ""),
        ("circle", {"r": -3}, "below 0"),
        ("ellipse", {"rx": 3, "ry": 0}, ""),
        ("circle", {}, ""),
    ],
)
def test_shapes_without_size_draw_nothing(kind: str, given: dict[str, float], fault: str) -> None:
    outline = made(kind, **given)
    assert len(outline.controls) == 0
    assert fault in outline.fault


def test_points_that_cannot_be_read() -> None:
    odd = made("polyline", "0 0 10 0 20")
    assert len(odd.controls) == 1
    assert "odd number" in odd.fault
    broken = made("polygon", "0 0 10 0 oops 5 5")
    assert "character 10" in broken.fault
