"""Dashes by hand: where the pattern runs, and what it cuts."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from plotlib.arrays import dashing
from plotlib.errors import InvalidValue

BEND = np.array([(0, 0), (3, 0), (3, 5)], float)


def dashed(
    pattern: list[float], *, offset: float = 0.0, whole: bool = False, **given: Any
) -> tuple[list[Any], list[int]]:
    """Of a stroke of 8 mm with a corner after three, unless others are given."""
    points = given.get("points", BEND)
    points, offsets, stroke = dashing.dash(
        points,
        np.array(given.get("offsets", [0, len(points)])),
        np.array(pattern, float),
        named="pattern",
        offset=offset,
        scale=given.get("scale"),
        step=given.get("step", 1.0),
        whole=whole,
    )
    return [part.round(9).tolist() for part in np.split(points, offsets[1:-1])], stroke.tolist()


@pytest.mark.parametrize(
    ("pattern", "offset", "dashes"),
    [
        ([2, 2], 0, [[(0, 0), (2, 0)], [(3, 1), (3, 3)]]),
        ([2, 2], 1, [[(0, 0), (1, 0)], [(3, 0), (3, 2)], [(3, 4), (3, 5)]]),
        ([2, 2], -1, [[(1, 0), (3, 0)], [(3, 2), (3, 4)]]),
        ([2, 2], 5, [[(0, 0), (1, 0)], [(3, 0), (3, 2)], [(3, 4), (3, 5)]]),
        ([4, 2], 0, [[(0, 0), (3, 0), (3, 1)], [(3, 3), (3, 5)]]),
        ([9, 2], 0, [[(0, 0), (3, 0), (3, 5)]]),
        ([2, 1, 1, 1], 0, [[(0, 0), (2, 0)], [(3, 0), (3, 1)], [(3, 2), (3, 4)]]),
        ([0, 4], 0, [[(0, 0)], [(3, 1)], [(3, 5)]]),  # the last at the very end
        ([0, 4], 1, [[(3, 0)], [(3, 4)]]),
        (
            [0, 4, 1, 1],
            0,
            [
                [(0, 0)],
                [(3, 1), (3, 2)],
                [(3, 3)],
            ],
        ),
    ],
)
def test_dashes_and_their_corners(pattern: list[float], offset: float, dashes: list[Any]) -> None:
    expected = [[list(map(float, point)) for point in part] for part in dashes]
    assert dashed(pattern, offset=offset) == (expected, [0] * len(dashes))


def test_strokes_begin_the_pattern_anew_and_dots_stay() -> None:
    points = np.vstack([BEND, [(7, 7)], BEND + 20])
    made, stroke = dashed([3, 2], points=points, offsets=[0, 3, 4, 7])
    assert stroke == [0, 0, 1, 2, 2]
    assert made[2] == [[7, 7]]
    assert made[3] == [[20, 20], [23, 20]]
    assert made[4] == [[23, 22], [23, 25]]
    made, _ = dashed([3, 2, 1, 1], points=points, offsets=[0, 3, 4, 7])
    assert [part for part in made if len(part) == 1] == [[[7, 7]]]  # once


def test_a_ring_of_dots_has_none_twice() -> None:
    ring = np.array([(0, 0), (4, 0), (4, 4), (0, 4), (0, 0)], float)
    made, _ = dashed([0, 4], points=ring)
    assert made == [[[0, 0]], [[4, 0]], [[4, 4]], [[0, 4]]]


def test_whole_periods_stretch_the_pattern() -> None:
    """On 10 mm a pattern of 2 and 1: open, (10 + 1) / 3 is nearest to 4 periods less a gap, 11;
    round a ring, 3 periods, 9. On 0.3 mm one dash at least; without length nothing is stretched.
    """
    totals = np.array([10, 10, 0.3, 0.3, 0])
    rings = np.array([False, True, False, True, False])
    made = dashing._stretch(totals, rings, np.array([2.0, 1.0]))
    assert made == pytest.approx(np.array([11 / 10, 9 / 10, 2 / 0.3, 3 / 0.3, 1]))
    parts, _ = dashed([3, 1], whole=True)  # 7 / 8
    assert parts[0][-1] == pytest.approx([3, 24 / 7 - 3])
    assert parts[1] == [pytest.approx([3, 32 / 7 - 3]), [3, 5]]


def test_too_many_dashes_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """On 10 mm four of a period of 3, and three times two of a period of 5."""
    totals = np.array([10.0, 1.0])
    for pattern, count in (([2, 1], 5), ([2, 1, 1, 1], 8)):
        monkeypatch.setattr(dashing, "_MOST", count)
        dashing._refuse_too_many(totals, np.array(pattern, float), "pattern")
        monkeypatch.setattr(dashing, "_MOST", count - 1)
        with pytest.raises(InvalidValue, match="pattern"):
            dashing._refuse_too_many(totals, np.array(pattern, float), "pattern")


def test_the_pattern_runs_by_a_field() -> None:
    """Twice as large up to x = 2: parts of 2 mm, each asked in its middle."""
    asked: list[float] = []

    def scale(x: Any, y: Any) -> Any:
        asked.extend(x.tolist())
        return np.where(x < 2, 2.0, 1.0)

    points = np.array([(0, 0), (4, 0), (9, 9), (9, 9.5)])
    way = dashing._way(points, np.array([0, 2, 4]), scale, 2.0)
    assert asked == [1, 3, 4, 9, 9]
    assert way.nodes.tolist() == [[0, 0], [2, 0], [4, 0], [9, 9], [9, 9.5]]
    assert way.offsets.tolist() == [0, 3, 5]
    assert way.given.tolist() == [True, False, True, True, True]
    assert way.run.tolist() == [0, 1, 3, 3, 3.5]
    straight = np.array([(0, 0), (4, 0)], float)
    made, _ = dashed([1, 0.5], points=straight, scale=scale, step=2.0)
    assert made == [[[0, 0], [2, 0]], [[2.5, 0], [3.5, 0]]]


def test_too_many_places_of_a_field_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """3 mm and 5 mm in steps of 1, and the end."""

    def scale(x: Any, y: Any) -> Any:
        return np.ones_like(x)

    monkeypatch.setattr(dashing, "_MOST", 9)
    dashing._way(BEND, np.array([0, 3]), scale, 1.0)
    monkeypatch.setattr(dashing, "_MOST", 8)
    with pytest.raises(InvalidValue, match="step"):
        dashing._way(BEND, np.array([0, 3]), scale, 1.0)


def test_no_strokes_no_dashes() -> None:
    made = dashing.dash(
        np.zeros((0, 2)),
        np.zeros(1, np.int64),
        np.array([1.0, 1.0]),
        named="pattern",
        offset=0.0,
        scale=None,
        step=1.0,
        whole=False,
    )
    assert [len(part) for part in made] == [0, 1, 0]
