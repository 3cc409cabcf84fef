"""Functions of the plane, asked and checked."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from plotlib.arrays.asking import finite_at, numbers_at, points_at
from plotlib.errors import InvalidValue

PLACES = np.array([(1, 10), (2, 20), (3, 30)], float)


def test_each_place_is_asked_for_both_its_coordinates() -> None:
    assert points_at("warp", lambda x, y: (y - x, 2 * x), PLACES).tolist() == [
        [9, 2],
        [18, 4],
        [27, 6],
    ]
    assert numbers_at("size", lambda x, y: x + y, PLACES).tolist() == [11, 22, 33]
    assert finite_at("size", lambda x, y: x - y, PLACES).tolist() == [-9, -18, -27]
    assert finite_at("size", lambda x, y: 7, PLACES).tolist() == [7, 7, 7]  # the same everywhere
    assert points_at("warp", lambda x, y: (x, 1), PLACES)[:, 1].tolist() == [1, 1, 1]


def test_the_places_are_not_for_writing() -> None:
    before = PLACES.copy()

    def greedy(x: Any, y: Any) -> Any:
        x += 1
        y *= 2
        return x, y

    points_at("warp", greedy, PLACES)
    assert (before == PLACES).all()


@pytest.mark.parametrize(
    ("number", "ok"), [(1e-300, True), (0.0, False), (-1.0, False), (-0.0, False)]
)
def test_sizes_are_above_nothing(number: float, ok: bool) -> None:
    def size(x: Any, y: Any) -> Any:
        return np.where(x == 2, number, 5.0)

    if ok:
        assert numbers_at("size", size, PLACES)[1] == number
        return
    with pytest.raises(InvalidValue, match=r"greater than 0, got -?[01] at \(2, 20\)") as caught:
        numbers_at("size", size, PLACES)
    assert caught.value.value == number


@pytest.mark.parametrize("bad", [np.nan, np.inf])
def test_what_is_not_finite_is_named_by_its_place(bad: float) -> None:
    with pytest.raises(InvalidValue, match=r"at \(2, 20\); cut that place") as caught:
        finite_at("size", lambda x, y: np.where(x >= 2, bad, 1), PLACES)
    assert caught.value.point == (2, 20)
    with pytest.raises(InvalidValue, match=r"at \(3, 30\)"):
        points_at("warp", lambda x, y: (x, np.where(x == 3, bad, y)), PLACES)


@pytest.mark.parametrize(
    "answer",
    [
        lambda x, y: np.arange(4.0),
        lambda x, y: "moon",
        lambda x, y: x > 1,
        lambda x, y: None,
        lambda x, y: x.item(),
        lambda x, y: x[9],
        lambda x, y: 1 // 0,
        lambda x: x,
    ],
)
def test_what_is_no_answer_is_refused(answer: Any) -> None:
    with pytest.raises(InvalidValue, match=r"size must take two arrays x and y \(n,\)"):
        finite_at("size", answer, PLACES)
    with pytest.raises(InvalidValue, match="a pair of arrays"):
        points_at("size", answer, PLACES)


def test_a_refusal_of_the_function_itself_goes_through() -> None:
    def own(x: Any, y: Any) -> Any:
        raise InvalidValue("no light here", name="lamp")

    with pytest.raises(InvalidValue, match="no light here"):
        finite_at("size", own, PLACES)
