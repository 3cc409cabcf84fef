"""Waves whose amplitude and phase a field gives."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import box

from plotlib import fields, fills
from plotlib.errors import InvalidValue

AREA = box(0, 0, 60, 30)
ROWS = {"spacing": 3.0, "wavelength": 6.0}


def test_a_number_and_a_function_of_it_are_the_same_waves() -> None:
    plain = fills.wave(AREA, **ROWS, amplitude=0.9, shift=0.25, angle=20)
    asked = fills.wave(AREA, **ROWS, amplitude=lambda x, y: 0.9, shift=0.25, angle=20)
    assert len(plain) == len(asked)
    for one, two in zip(plain, asked, strict=True):
        assert shapely.hausdorff_distance(*map(shapely.linestrings, (one, two))) < 0.05
        assert np.allclose(one[0], two[0], atol=0.05)  # they run the same way


@pytest.mark.parametrize("tolerance", [0.05, 0.005])
def test_every_point_lies_on_the_sine_that_the_fields_give(tolerance: float) -> None:
    swell = fields.from_function(lambda x, y: 0.2 + x / 60)
    turn = fields.from_function(lambda x, y: 4 * y + 90 * np.sin(x / 9))
    drawn = fills.wave(AREA, **ROWS, amplitude=swell, phase=turn, tolerance=tolerance)
    assert len(drawn) == 10
    for number, stroke in enumerate(drawn):
        row = 3.0 * number + 1.5
        x = np.linspace(0.01, 59.99, 4_000)
        y = row + swell(x, row) * np.sin(2 * np.pi * x / 6.0 + np.radians(turn(x, row)))
        away = shapely.distance(shapely.points(x, y), shapely.linestrings(stroke))
        assert away.max() <= tolerance


def test_a_phase_of_180_degrees_turns_the_waves_over() -> None:
    over = fills.wave(AREA, **ROWS, amplitude=1, phase=180)
    for one, two in zip(fills.wave(AREA, **ROWS, amplitude=1), over, strict=True):
        assert np.allclose(one[:, 1] - 1.5, 3.0 * np.round((one[:, 1] - 1.5) / 3), atol=1.01)
        middle = 1.5 + 3.0 * round((one[:, 1].mean() - 1.5) / 3)
        assert np.allclose(one[:, 1] - middle, middle - two[:, 1])


def test_no_amplitude_leaves_straight_rows() -> None:
    flat = fills.wave(AREA, **ROWS, amplitude=lambda x, y: 0 * x)
    assert [len(stroke) for stroke in flat] == [2] * 10
    assert flat.length == pytest.approx(fills.hatch(AREA, spacing=3.0).length)


def test_waves_swing_in_from_rows_outside() -> None:
    plain = fills.wave(AREA, **ROWS, amplitude=4)
    asked = fills.wave(AREA, **ROWS, amplitude=lambda x, y: 4 + 0 * x)
    assert len(plain) == len(asked)
    assert asked.length == pytest.approx(plain.length, rel=0.01)


def test_corners_of_a_zigzag_lie_as_far_off_as_the_field_says() -> None:
    lines = fills.zigzag(box(0, 0, 60, 3), **ROWS, amplitude=lambda x, y: x / 60)
    (stroke,) = lines
    corners = stroke[1:-1]
    assert np.allclose(np.abs(corners[:, 1] - 1.5), corners[:, 0] / 60 * (corners[:, 0] % 3 > 1))


@pytest.mark.parametrize("maker", [fills.wave, fills.zigzag])
def test_fields_are_asked_no_farther_than_the_area(maker) -> None:
    asked = []

    def swell(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        asked.append((x.min(), y.min(), x.max(), y.max()))
        return 2 + y / 30

    maker(AREA, **ROWS, amplitude=swell)
    low = np.min([spots[:2] for spots in asked], axis=0)
    high = np.max([spots[2:] for spots in asked], axis=0)
    assert np.allclose((*low, *high), AREA.bounds)


@pytest.mark.parametrize("maker", [fills.wave, fills.zigzag])
def test_fields_that_do_not_serve_are_refused(maker) -> None:
    with pytest.raises(InvalidValue, match="amplitude gives no finite number at") as told:
        maker(AREA, **ROWS, angle=30, amplitude=lambda x, y: np.where(x > 20, np.nan, 1))
    assert told.value.facts["point"][0] > 20
    with pytest.raises(InvalidValue, match="amplitude must take two arrays"):
        maker(AREA, **ROWS, amplitude=lambda x: x)
    with pytest.raises(InvalidValue, match="more than"):
        maker(AREA, **ROWS, amplitude=lambda x, y: 1e9 + 0 * x)
    with pytest.raises(InvalidValue, match="amplitude must be"):
        maker(AREA, **ROWS, amplitude=0)


def test_phases_that_do_not_serve_are_refused() -> None:
    with pytest.raises(InvalidValue, match="phase gives no finite number at"):
        fills.wave(AREA, **ROWS, amplitude=1, phase=lambda x, y: x * np.nan)
    with pytest.raises(InvalidValue, match="jumps by"):
        fills.wave(AREA, **ROWS, amplitude=1, phase=lambda x, y: 180.0 * (x > 31))
    with pytest.raises(InvalidValue, match="phase must be a finite number"):
        fills.wave(AREA, **ROWS, amplitude=1, phase="up")
    with pytest.raises(InvalidValue, match="amplitude must be"):
        fills.wave(AREA, **ROWS, amplitude="high", phase=lambda x, y: x)


def test_nothing_to_fill_is_no_waves() -> None:
    assert len(fills.wave(shapely.Polygon(), **ROWS, amplitude=lambda x, y: x)) == 0
    assert len(fills.zigzag(shapely.Polygon(), **ROWS, amplitude=lambda x, y: x)) == 0
