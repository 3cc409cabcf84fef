"""Nodes, cells and pieces of thinning, by hand; what stays as a whole is compared with all pairs in
tests/test_redrawing.py.
"""

from __future__ import annotations

import numpy as np
import pytest

from plotlib.arrays import thinning
from plotlib.errors import InvalidValue

POINTS = np.array([(0, 0), (2, 0), (2, 0.5), (7, 7), (9, 7)], float)
OFFSETS = np.array([0, 3, 4, 5])


def test_nodes_lie_a_quarter_of_the_distance_apart() -> None:
    """A distance of 2: segments of 2 and 0.5 mm in four parts and one."""
    nodes, ends, given = thinning._nodes(POINTS, OFFSETS, 2.0)
    row = [(0, 0), (0.5, 0), (1, 0), (1.5, 0), (2, 0), (2, 0.5), (7, 7), (9, 7)]
    assert nodes.tolist() == [list(map(float, node)) for node in row]
    assert ends.tolist() == [0, 6, 7, 8]
    assert given.tolist() == [True, False, False, False, True, True, True, True]
    assert len(thinning._nodes(POINTS, OFFSETS, 1.99)[0]) == 10  # five parts and two


def test_too_many_nodes_or_cells_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nodes as above. Cells of 2 mm over 9 by 7 mm: 4 and 3 whole ones, and three more each way."""
    monkeypatch.setattr(thinning, "_MOST", 8)
    nodes, ends, _ = thinning._nodes(POINTS, OFFSETS, 2.0)
    monkeypatch.setattr(thinning, "_MOST", 7)
    with pytest.raises(InvalidValue, match="spacing"):
        thinning._nodes(POINTS, OFFSETS, 2.0)
    monkeypatch.setattr(thinning, "_MOST", 7 * 6)
    assert thinning._free(nodes, ends, 2.0).tolist() == [True] * 8
    monkeypatch.setattr(thinning, "_MOST", 7 * 6 - 1)
    with pytest.raises(InvalidValue, match="spacing"):
        thinning._free(nodes, ends, 2.0)


@pytest.mark.parametrize("shift", [(0.0, 0.0), (-1e3, 5e4)])
@pytest.mark.parametrize(
    ("way", "is_free"),
    [
        ((2.0, 0.0), True),  # at the distance itself
        ((1.999, 0.0), False),
        ((0.0, -1.999), False),
        ((-1.5, 1.5), True),
        ((-1.4, 1.4), False),
        ((1.4, -1.4), False),
    ],
)
def test_the_second_dot_gives_way(
    way: tuple[float, float], is_free: bool, shift: tuple[float, float]
) -> None:
    nodes = np.array([(5.0, 5.0), (5 + way[0], 5 + way[1])]) + shift
    assert thinning._free(nodes, np.array([0, 1, 2]), 2.0).tolist() == [True, is_free]
    assert thinning._free(nodes, np.array([0, 2]), 2.0).tolist() == [True, True]  # one stroke


def test_runs_of_free_nodes_are_pieces() -> None:
    """Of one stroke the first three and the last two; a single one between goes. Of another, a
    dot, and of a third nothing.
    """
    nodes = np.arange(22.0).reshape(11, 2)
    offsets = np.array([0, 8, 9, 11])
    free = np.array([1, 1, 1, 0, 1, 0, 1, 1, 1, 0, 0], bool)
    given = np.array([1, 0, 0, 0, 0, 0, 0, 1, 1, 1, 1], bool)
    points, fresh, stroke = thinning._pieces(nodes, offsets, given, free)
    assert points.tolist() == nodes[[0, 2, 6, 7, 8]].tolist()
    assert fresh.tolist() == [0, 2, 4, 5]
    assert stroke.tolist() == [0, 0, 1]
    given[1] = True
    assert thinning._pieces(nodes, offsets, given, free)[1].tolist() == [0, 3, 5, 6]


def test_nothing_stays_nothing() -> None:
    points, offsets, stroke = thinning.thin(np.zeros((0, 2)), np.zeros(1, np.int64), 1.0)
    assert (points.shape, offsets.tolist(), stroke.tolist()) == ((0, 2), [0], [])
