"""Ragged kernels against plain loops."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import hypothesis.strategies as st
import numpy as np
from hypothesis import given

from plotlib.arrays import ragged

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
