"""Ragged kernels against plain loops."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given

from plotlib.arrays import ragged
from plotlib.errors import InvalidValue, NoSuchStroke

coordinate = st.integers(-3, 3).map(float)
strokes = st.lists(st.lists(st.tuples(coordinate, coordinate), min_size=1, max_size=6), max_size=6)


def plain(points: Any, offsets: Any) -> list[list[list[float]]]:
    return [points[a:b].tolist() for a, b in pairwise(offsets.tolist())]


@given(strokes)
def test_pack_and_facts(given_strokes: list[Any]) -> None:
    points, offsets = ragged.pack(given_strokes)
    assert plain(points, offsets) == [list(map(list, stroke)) for stroke in given_strokes]
    lengths = [
        sum(np.hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(stroke))
        for stroke in given_strokes
    ]
    np.testing.assert_allclose(ragged.lengths(points, offsets), lengths, rtol=1e-12)
    closed = [len(stroke) >= 3 and stroke[0] == stroke[-1] for stroke in given_strokes]
    assert ragged.closed(points, offsets).tolist() == closed
    assert ragged.stroke_of(offsets).tolist() == [
        k for k, stroke in enumerate(given_strokes) for _ in stroke
    ]


@given(strokes, st.data())
def test_take_chooses_orders_and_reverses(given_strokes: list[Any], data: st.DataObject) -> None:
    points, offsets = ragged.pack(given_strokes)
    count = len(given_strokes)
    chosen = data.draw(st.lists(st.integers(0, count - 1), max_size=8)) if count else []
    back = data.draw(st.lists(st.booleans(), min_size=len(chosen), max_size=len(chosen)))
    rows, fresh = ragged.take(offsets, np.array(chosen, np.int64), np.array(back, np.bool_))
    expected = [
        list(map(list, given_strokes[k][::-1] if turn else given_strokes[k]))
        for k, turn in zip(chosen, back, strict=True)
    ]
    assert plain(points[rows], fresh) == expected


@given(strokes, st.integers(0, 5))
def test_rotated_begins_closed_strokes_elsewhere(given_strokes: list[Any], shift: int) -> None:
    rings = [[*stroke, stroke[0]] for stroke in given_strokes if len(stroke) > 1]
    points, offsets = ragged.pack([*rings, [(9.0, 9.0)]])
    start = np.array([*(shift % (len(ring) - 1) for ring in rings), 0], np.int64)
    turned = plain(ragged.rotated(points, offsets, start), offsets)
    for ring, first, result in zip(rings, start[:-1].tolist(), turned[:-1], strict=True):
        around = [*ring[first:-1], *ring[:first], ring[first]]
        assert result == list(map(list, around))
    assert turned[-1] == [[9.0, 9.0]]


@given(strokes)
def test_without_repeats(given_strokes: list[Any]) -> None:
    points, offsets = ragged.without_repeats(*ragged.pack(given_strokes))
    expected = [
        [list(p) for k, p in enumerate(stroke) if k == 0 or p != stroke[k - 1]]
        for stroke in given_strokes
    ]
    assert plain(points, offsets) == expected


# ---- the ends of ranges


def two(x: float, y: float = 0.0) -> Any:
    """Two strokes, the second with one point that is asked for."""
    return ragged.pack([[(0, 0), (1, 1)], [(2, 2), (x, y), (3, 3)]])


@pytest.mark.parametrize("value", [1e9, -1e9])
def test_the_limit_itself_is_a_place(value: float) -> None:
    ragged.check(*two(value))
    ragged.check(*two(0, value))
    ragged.check(*ragged.empty())


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (np.nextafter(1e9, np.inf), "is beyond 1e.09 mm"),
        (np.nextafter(-1e9, -np.inf), "is beyond 1e.09 mm"),
        (np.nan, "is not finite"),
        (-np.inf, "is not finite"),
    ],
)
def test_what_is_no_place_is_named_by_stroke_and_point(value: float, words: str) -> None:
    for points, offsets in (two(value), two(0, value)):
        with pytest.raises(InvalidValue, match=f"stroke 1, point 1 {words}") as caught:
            ragged.check(points, offsets)
        assert (caught.value.stroke, caught.value.point) == (1, 1)


def test_ends_meet_within_a_millionth_and_three_points_make_a_ring() -> None:
    ends = [1e-6, 1.001e-6, 0, 0]
    strokes = [[(0, 0), (5, 5), (end, 0)] for end in ends[:3]]
    points, offsets = ragged.pack([*strokes, [(0, 0), (0, 0)], [(4, 4)]])
    assert ragged.closed(points, offsets).tolist() == [True, False, True, False, False]
    assert ragged.gaps(points, offsets).tolist() == [*ends, 0]
    zero = np.zeros(2)
    assert ragged.meet(zero, np.array([0, 1e-6]))
    assert not ragged.meet(zero, np.array([1e-6, 1e-7]))
    assert ragged.meet(np.array([3.0, 4.0]), np.array([3.0, 4.0]))
    assert not ragged.meet(np.array([3.0, 4.0]), np.array([-3.0, -4.0]))
    tied = ragged.sealed(points, offsets)
    assert tied[2].tolist() == [0, 0]
    assert tied[5].tolist() == [1.001e-6, 0]
    assert ragged.sealed(tied, offsets) is tied
    moved = [[(2, 3), (5, 5), (2, 3 + 5e-7)], [(7, 7), (8, 8)]]
    assert ragged.sealed(*ragged.pack(moved))[2].tolist() == [2, 3]


def test_segments_end_with_their_stroke() -> None:
    points, offsets = ragged.pack([[(0, 0), (3, 4), (3, 5)], [(9, 9)], [(1, 1), (1, 3)]])
    assert ragged.segment_lengths(points, offsets).tolist() == [5, 1, 0, 0, 2, 0]
    assert ragged.segment_lengths(*ragged.pack([[(1, 1)]])).tolist() == [0]
    assert ragged.lengths(*ragged.empty()).tolist() == []
    assert ragged.bounds(points) == (0, 0, 9, 9)
    assert ragged.bounds(points[1:3]) == (3, 4, 3, 5)
    assert ragged.bounds(ragged.empty()[0]) is None


@pytest.mark.parametrize("kind", [np.float64, np.float32, np.int16, np.uint8])
def test_a_block_is_strokes_of_equal_length(kind: Any) -> None:
    block = np.arange(12).reshape(2, 3, 2).astype(kind)
    points, offsets = ragged.pack(block)
    assert points.dtype == np.float64
    assert plain(points, offsets) == block.tolist()
    assert plain(*ragged.pack(block[:0])) == []
    points[0] = 99
    assert block[0, 0, 0] == 0


@pytest.mark.parametrize(
    ("given_strokes", "words", "stroke", "point"),
    [
        (np.zeros((2, 3, 3)), r"shape \(strokes, points, 2\) .* got \(2, 3, 3\)", None, None),
        (np.zeros((2, 3, 2), bool), "of bool", None, None),
        ("abc", "iterable of strokes", None, None),
        (b"abc", "iterable of strokes", None, None),
        (7, "iterable of strokes", None, None),
        (np.array(7.0), "iterable of strokes", None, None),
        ([[(0, 0)], [(1, 2), (3,)]], "stroke 1 is ragged", 1, None),
        ([[(0, 0)], (1, 2)], "stroke 1 is one point", 1, None),
        ([[(0, 0)], [(1, 2), (3, "x")]], "stroke 1, point", 1, None),
        ([[(0, 0)], [(1, 2), (3, None)]], "stroke 1, point 1", 1, 1),
        ([[(0, 0)], 5], "stroke 1 must be points .* got int 5", 1, None),
        ([[(0, 0)], [(1, 2, 3)]], r"stroke 1 must have shape .* got \(1, 3\)", 1, None),
        ([[(0, 0)], np.zeros((0, 2))], r"stroke 1 must have shape .* got \(0, 2\)", 1, None),
        ([[(0, 0)], np.zeros((1, 2, 2))], r"stroke 1 must have shape", 1, None),
        ([[(0, 0)], [(1j, 2)]], "stroke 1, point 0", 1, 0),
    ],
)
def test_what_is_no_stroke_is_named(
    given_strokes: Any, words: str, stroke: int | None, point: int | None
) -> None:
    with pytest.raises(InvalidValue, match=words) as caught:
        ragged.pack(given_strokes)
    assert getattr(caught.value, "stroke", None) == stroke
    if point is not None:
        assert caught.value.point == point


@pytest.mark.parametrize(
    ("key", "numbers"),
    [
        (slice(1, None), [1, 2, 3]),
        (slice(None, None, -2), [3, 1]),
        ([], []),
        ([-1, 0, 0], [3, 0, 0]),
        ([True, False, False, True], [0, 3]),
        (np.array([2], np.uint8), [2]),
    ],
)
def test_strokes_are_chosen_as_numpy_does(key: Any, numbers: list[int]) -> None:
    assert ragged.chosen(key, 4).tolist() == numbers


@pytest.mark.parametrize("key", [[4], [-5], [True], np.ones(5, bool)])
def test_strokes_that_there_are_not_are_refused(key: Any) -> None:
    with pytest.raises(NoSuchStroke, match="in a drawing of 4 strokes"):
        ragged.chosen(key, 4)


@pytest.mark.parametrize("key", [[[0]], [0.5], ["a"], np.zeros((0, 2))])
def test_what_names_no_strokes_is_refused(key: Any) -> None:
    with pytest.raises(InvalidValue, match="strokes are chosen by"):
        ragged.chosen(key, 4)


def test_numbers_are_copied_and_what_is_none_is_refused() -> None:
    given_numbers = np.arange(3)
    made = ragged.copied("layers", given_numbers, np.int64, "iu")
    made[0] = 9
    assert given_numbers[0] == 0
    assert ragged.copied("layers", [], np.int64, "iu").dtype == np.int64
    with pytest.raises(InvalidValue, match="layers must hold whole numbers only, got float64"):
        ragged.copied("layers", [0.5], np.int64, "iu")
    with pytest.raises(InvalidValue, match="points must hold numbers only, got bool"):
        ragged.copied("points", [True], np.float64, "iuf")
    with pytest.raises(InvalidValue, match="points must be one array of numbers"):
        ragged.copied("points", [[1], [1, 2]], np.float64, "iuf")
