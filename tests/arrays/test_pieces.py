"""Strokes in open pieces, and what a cut leaves without its crumbs: by hand."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely

from plotlib.arrays.pieces import open_pieces, without_crumbs

ROW = [(0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (3.0, 0.0), (4.0, 0.0)]
RING = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0), (0.0, 0.0)]


def pieces(strokes: list[Any], **options: Any) -> tuple[list[Any], list[int]]:
    points = np.array([point for stroke in strokes for point in stroke], float).reshape(-1, 2)
    offsets = np.cumsum([0, *(len(stroke) for stroke in strokes)])
    lines, source = open_pieces(points, offsets, **options)
    return [shapely.get_coordinates(line).tolist() for line in lines], source.tolist()


def expected(*parts: list[Any]) -> list[Any]:
    return [[list(point) for point in part] for part in parts]


@pytest.mark.parametrize(
    ("longest", "parts"),
    [
        (None, [ROW]),
        (1, [ROW[:2], ROW[1:3], ROW[2:4], ROW[3:]]),
        (2, [ROW[:3], ROW[2:]]),
        (3, [ROW[:4], ROW[3:]]),
        (4, [ROW]),
        (9, [ROW]),
    ],
)
def test_long_strokes_are_cut_into_parts_that_share_their_ends(
    longest: int | None, parts: list[Any]
) -> None:
    assert pieces([ROW], longest=longest) == (expected(*parts), [0] * len(parts))


def test_no_piece_is_closed() -> None:
    assert pieces([RING]) == (expected(RING[:3], RING[2:]), [0, 0])
    there_and_back = [(0, 0), (5, 5), (0, 0)]
    assert pieces([there_and_back]) == (expected([(0, 0), (5, 5)], [(5, 5), (0, 0)]), [0, 0])
    assert pieces([there_and_back, ROW], longest=2)[1] == [0, 0, 1, 1]
    assert pieces([[(2, 2), (2, 2)]]) == (expected([(2, 2), (2, 2)]), [0])


@pytest.mark.parametrize(("gap", "count"), [(0.9e-6, 2), (1e-6, 1), (1.1e-6, 1), (-0.9e-6, 2)])
def test_ends_nearer_than_a_millionth_count_as_one(gap: float, count: int) -> None:
    for end in ((gap, 0.0), (0.0, gap)):
        assert len(pieces([[*RING[:-1], end]])[0]) == count
    assert len(pieces([[*RING[:-1], (0.5, 0.0)]])[0]) == 1  # near in y only


def test_dots_and_nothing() -> None:
    assert pieces([[(3, 4)], ROW]) == (expected([(3, 4)], ROW), [0, 1])
    assert pieces([]) == ([], [])


def test_crumbs_go_and_whole_strokes_stay() -> None:
    """Pieces of 3, 0.5, 0.4 and 0.1 mm, the last of which is all that there was."""
    points = np.array([(0, 0), (3, 0), (5, 0), (5.5, 0), (6, 1), (6.4, 1), (0, 2), (0, 2.1)])
    offsets = np.array([0, 2, 4, 6, 8])
    source = np.array([0, 0, 2, 3])
    before = np.array([4.0, 9.0, 0.5, 0.1])
    kept, fresh, owner = without_crumbs(points, offsets, source, before, 0.5)
    assert kept.tolist() == points[[0, 1, 2, 3, 6, 7]].tolist()
    assert fresh.tolist() == [0, 2, 4, 6]
    assert owner.tolist() == [0, 0, 3]
    same = without_crumbs(points, offsets, source, before, 0.0)
    assert same[0] is points
    assert same[1] is offsets
    assert same[2] is source
    # a rounding of the length does not make a crumb of a whole stroke
    tight = np.array([4.0, 9.0, 0.4 * (1 + 0.5e-9), 0.1])
    assert without_crumbs(points, offsets, source, tight, 0.5)[2].tolist() == [0, 0, 2, 3]
    loose = np.array([4.0, 9.0, 0.4 * (1 + 5e-9), 0.1])
    assert without_crumbs(points, offsets, source, loose, 0.5)[2].tolist() == [0, 0, 3]


@pytest.mark.parametrize(("long", "kept"), [(1.0, 1), (1 - 1e-9, 1), (1 - 1.1e-9, 0)])
def test_a_whole_stroke_may_be_shorter_by_rounding(long: float, kept: int) -> None:
    points = np.array([(0, 0), (long, 0)])
    found = without_crumbs(points, np.array([0, 2]), np.array([0]), np.array([1.0]), 5.0)
    assert len(found[2]) == kept
