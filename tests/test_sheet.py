from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
import shapely

from plotlib.errors import InvalidValue, UnknownName
from plotlib.sheet import Sheet


def test_iso_sheets_lie_portrait_or_landscape() -> None:
    assert (Sheet.iso("A5").width, Sheet.iso("A5").height) == (148, 210)
    assert (Sheet.iso("A5", landscape=True).width, Sheet.iso("A5", landscape=True).height) == (
        210,
        148,
    )


@pytest.mark.parametrize(("small", "known"), [("a5", "A5"), ("b10", "B10"), ("c0", "C0")])
def test_small_letters_name_the_same_sheet(small: str, known: str) -> None:
    assert Sheet.iso(small) == Sheet.iso(known)


def test_paper_and_area_are_in_sheet_mm_wherever_the_sheet_lies() -> None:
    sheet = Sheet(120, 80, margin=8, at=(5, 10))
    assert sheet.paper.bounds == (0, 0, 120, 80)
    assert sheet.area.bounds == (8, 8, 112, 72)


@pytest.mark.parametrize("name", ["A11", "D4", "", "A", None, 5, "A05"])
def test_unknown_names_are_told_with_the_known_ones(name: str) -> None:
    with pytest.raises(UnknownName, match=r"'A0', .*'C10'"):
        Sheet.iso(name)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ((0, 80), "sheet width"),
        ((120, -1), "sheet height"),
        ((120, 80, -1), "sheet margin"),
        ((120, 80, 40), "leaves nothing"),
        ((120, 80, 5, (1, 2, 3)), "sheet at"),
        ((120, 80, 5, (1, float("inf"))), "sheet at"),
    ],
)
def test_wrong_values_are_refused(values: tuple[object, ...], words: str) -> None:
    with pytest.raises(InvalidValue, match=words):
        Sheet(*values)  # type: ignore[arg-type]


# ---- round, cut to shape, turned


def test_a_round_sheet_is_its_circle() -> None:
    sheet = Sheet.round(90, margin=5)
    from_middle = np.hypot(*(shapely.get_coordinates(sheet.paper) - 45).T)
    assert np.abs(from_middle - 45).max() < 1e-9
    sagitta = 45 - shapely.distance(sheet.paper.exterior, shapely.Point(45, 45))  # type: ignore[union-attr]
    assert 0 < sagitta <= 1e-4
    # Area of the circle: pi r², less at most the ring that the sides cut off.
    assert 0 <= np.pi * 45**2 - sheet.paper.area < 2 * np.pi * 45 * 1e-4
    inner = np.hypot(*(shapely.get_coordinates(sheet.area) - 45).T)
    assert np.abs(inner - 40).max() < 2e-4


def test_a_sheet_of_any_area_keeps_its_coordinates_and_its_holes() -> None:
    tag = shapely.box(-20, 5, 40, 35).difference(shapely.Point(-10, 20).buffer(4))
    sheet = Sheet.from_area(tag, margin=3, at=(50, 60))
    assert (sheet.width, sheet.height) == (60, 30)
    assert sheet.paper.equals(tag)
    assert sheet.on_bed.bounds == (30, 65, 90, 95)
    hole = shapely.Point(-10, 20)
    assert shapely.distance(sheet.area, hole) == pytest.approx(7, abs=0.01)
    assert sheet.area.bounds == pytest.approx((-17, 8, 37, 32))


def test_turned_about_its_corner_about_its_middle_and_about_a_point() -> None:
    sheet = Sheet(80, 60, at=(100, 50), angle=30)
    spin = np.exp(1j * np.radians(30))
    corners = np.array([0, 80, 80 + 60j, 60j]) * spin + (100 + 50j)
    placed = shapely.get_coordinates(sheet.on_bed)[:-1]
    wanted = np.stack([corners.real, corners.imag], axis=1)
    assert np.array(sorted(placed.tolist())) == pytest.approx(np.array(sorted(wanted.tolist())))
    straight = Sheet(80, 60, at=(100, 50))
    turned = straight.turned(30)
    assert turned.on_bed.centroid.coords[0] == pytest.approx((140, 80))
    assert turned.turned(-30).at == pytest.approx((100, 50))
    assert straight.turned(90, about=(100, 50)).at == (100, 50)
    assert straight.turned(90, about=(0, 0)).at == (-50, 100)


def test_to_the_bed_and_back() -> None:
    sheet = Sheet.round(70, at=(12, 34)).turned(-123)
    points = np.array([(0, 0), (35, 35), (70, 1)])
    assert sheet.from_bed(sheet.to_bed(points)) == pytest.approx(points)
    assert Sheet(80, 60, at=(5, 10)).to_bed(points).tolist() == [[5, 10], [40, 45], [75, 11]]


def test_a_turned_tray_is_turned_as_a_whole() -> None:
    tray = Sheet.round(40, margin=2, at=(60, 10)).turned(30, about=(60, 10)).many(3, 2, pitch=44)
    middles = [complex(*sheet.to_bed([(20, 20)])[0]) for sheet in tray]
    steps = [(middle - middles[0]) * np.exp(-1j * np.radians(30)) for middle in middles]
    assert steps == pytest.approx([0, 44, 88, 44j, 44 + 44j, 88 + 44j])
    assert {sheet.angle for sheet in tray} == {30}


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Sheet.round(90, margin=45), "leaves nothing"),
        (lambda: Sheet.round(0), "diameter"),
        (lambda: Sheet.round(1e6), "diameter"),
        (lambda: Sheet.from_area(shapely.Polygon()), "area is empty"),
        (lambda: Sheet.from_area(shapely.box(0, 0, 9, 9), margin=5), "leaves nothing"),
        (lambda: Sheet.from_area("card"), "area must be an area"),
        (lambda: Sheet(80, 60, outline=shapely.box(0, 0, 80, 61)), "80 x 61 mm is no sheet"),
        (lambda: Sheet(80, 60, angle=float("nan")), "sheet angle"),
        (lambda: Sheet(80, 60).turned("askew"), "angle"),  # type: ignore[arg-type]
    ],
)
def test_sheets_that_cannot_be_are_refused(make: Callable[[], Sheet], words: str) -> None:
    with pytest.raises(InvalidValue, match=words):
        make()
