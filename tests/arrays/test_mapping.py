"""Parts of the adaptive subdivision, by hand; what it makes as a whole stands in
tests/test_redrawing.py.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from plotlib.arrays import mapping
from plotlib.arrays.mapping import Spans
from plotlib.errors import InvalidValue


def same(x: Any, y: Any) -> Any:
    return x, y


def test_segments_in_parts_no_longer_than_a_step() -> None:
    """Segments of 3 and 4 mm in two strokes, and steps of 1.5: two parts and three."""
    points = np.array([(0, 0), (3, 0), (5, 0), (5, 4)], float)
    image = points * 2
    segment = np.array([0, 2])
    long = np.array([3.0, 0, 4, 0])
    asked: list[Any] = []

    def twice(x: Any, y: Any) -> Any:
        asked.extend(zip(x.tolist(), y.tolist(), strict=True))
        return 2 * x, 2 * y

    made = mapping._samples(points, image, long, segment, twice, 1.5)
    inner = [(1.5, 0), (5, 4 / 3), (5, 8 / 3)]
    assert np.array(asked) == pytest.approx(np.array(inner))  # no end is asked again
    assert made.segment.tolist() == [0, 0, 2, 2, 2]
    t = [(0, 0.5), (0.5, 1), (0, 1 / 3), (1 / 3, 2 / 3), (2 / 3, 1)]
    assert made.t == pytest.approx(np.array(t))
    starts = np.array([(0, 0), (3, 0), (10, 0), (10, 8 / 3), (10, 16 / 3)])
    ends = np.array([(3, 0), (6, 0), (10, 8 / 3), (10, 16 / 3), (10, 8)])
    assert made.image == pytest.approx(np.stack([starts, ends], axis=1))
    asked.clear()
    mapping._samples(points, image, long, segment, twice, 4.0)
    assert asked == []


def test_samples_are_refused_above_so_many(monkeypatch: pytest.MonkeyPatch) -> None:
    points = np.array([(0, 0), (8, 0)], float)
    arguments = points, points, np.array([8.0, 0.0]), np.array([0]), same
    monkeypatch.setattr(mapping, "_MOST", 8)
    mapping._samples(*arguments, 1.0)
    with pytest.raises(InvalidValue, match="step"):
        mapping._samples(*arguments, 0.99)


def test_probes_off_their_chord() -> None:
    """Beside it, before it, beyond it; and around a chord that is a dot."""
    ends = np.array([[(1, 1), (5, 1)], [(2, 2), (2, 2)], [(0, 0), (0, 4)]], float)
    probes = np.array(
        [
            [(2, 3), (3, 1), (4, 0)],
            [(2, 2), (5, 6), (2, 1)],
            [(0, -3), (0, 2), (0, 6)],
        ],
        float,
    )
    assert mapping._farthest(probes, ends).tolist() == [2, 5, 3]
    assert mapping._farthest(probes[2:, ::-1], ends[2:]).tolist() == [3]


@pytest.mark.parametrize(
    ("along", "limit", "is_uneven"),
    [
        ([2.5, 5, 7.5], 1.0, False),
        ([1, 2, 8.1], 1.0, True),  # 6.1 of 10 in one step
        ([1, 2, 7.9], 1.0, False),  # 5.9
        ([6.1, 7, 8], 1.0, True),  # the first step
        ([1, 2, 3.9], 1.0, True),  # the last one
        ([1, 2, 8.1], 9.99, True),
        ([1, 2, 8.1], 10.0, False),  # too short to be looked at
    ],
)
def test_a_way_in_one_step_is_uneven(along: list[float], limit: float, is_uneven: bool) -> None:
    probes = np.array([[(3, at) for at in along]])
    ends = np.array([[(3, 0), (3, 10)]], float)
    assert mapping._uneven(probes, ends, limit).tolist() == [is_uneven]


def test_spans_are_parted_at_their_probes() -> None:
    spans = Spans(
        np.array([4, 7]),
        np.array([(0.0, 1.0), (0.5, 0.75)]),
        np.array([[(0, 0), (4, 4)], [(9, 0), (9, 8)]], float),
    )
    t = np.array([(0.25, 0.5, 0.75), (0.56, 0.62, 0.68)])
    probes = np.array([[(1, 1), (2, 2), (3, 3)], [(9, 2), (9, 4), (9, 6)]], float)
    made = mapping._parted(spans, t, probes)
    assert made.segment.tolist() == [4] * 4 + [7] * 4
    assert made.t[:, 0].tolist() == [0, 0.25, 0.5, 0.75, 0.5, 0.56, 0.62, 0.68]
    assert made.t[:, 1].tolist() == [0.25, 0.5, 0.75, 1, 0.56, 0.62, 0.68, 0.75]
    assert made.image[:, 0].tolist() == [[k, k] for k in range(4)] + [[9, 2 * k] for k in range(4)]
    assert made.image[:4, 1].tolist() == [[k, k] for k in (1, 2, 3, 4)]
    assert made.image[4:, 1].tolist() == [[9, k] for k in (2, 4, 6, 8)]


def test_spans_that_bend_are_probed_and_foreseen() -> None:
    """A parabola of height 1 over the second segment: probes stand off 0.75, 1 and 0.75. Of a
    limit of 0.01 the square root says ten parts.
    """
    points = np.array([(0, 0), (4, 0), (8, 0)], float)
    spans = Spans(
        np.array([0, 1]),
        np.array([(0.0, 1.0), (0.0, 1.0)]),
        np.array([[(0, 0), (4, 0)], [(4, 0), (8, 0)]], float),
    )

    def hump(x: Any, y: Any) -> Any:
        share = np.clip((x - 4) / 4, 0, 1)
        return x, 4 * share * (1 - share)

    bent, t, probes, wanted = mapping._probed(points, spans, hump, 0.01)
    assert bent.segment.tolist() == [1]
    assert t.tolist() == [[0.25, 0.5, 0.75]]
    assert probes.tolist() == [[[5, 0.75], [6, 1], [7, 0.75]]]
    assert wanted == pytest.approx(10)
    assert not len(mapping._probed(points, spans, hump, 1.0)[0].segment)  # off by 1 is within 1


def test_ten_parts_are_looked_at_in_blocks(monkeypatch: pytest.MonkeyPatch) -> None:
    spans = Spans(np.arange(10), np.zeros((10, 2)), np.arange(40.0).reshape(10, 2, 2))
    monkeypatch.setattr(mapping, "_BLOCK", 4)
    blocks = list(mapping._blocks(spans))
    assert [len(block.segment) for block in blocks] == [4, 4, 2]
    whole = mapping._together(blocks)
    assert whole.segment.tolist() == spans.segment.tolist()
    assert whole.image.tolist() == spans.image.tolist()


@pytest.mark.parametrize(("width", "jumps"), [(2e-9, False), (1.01e-9, False), (0.99e-9, True)])
def test_a_jump_is_named_by_its_place_and_its_size(width: float, jumps: bool) -> None:
    """The second span, of so many mm of a segment of 4."""
    points = np.array([(0, 0), (0, 4)], float)
    spans = Spans(
        np.array([0, 0]),
        np.array([(0.0, 0.5), (0.75, 0.75 + width / 4)]),
        np.array([[(0, 0), (1, 1)], [(1, 1), (4, 5)]], float),
    )
    long = np.array([4.0, 0.0])
    if not jumps:
        mapping._refuse_jumps(points, long, spans)
        return
    with pytest.raises(InvalidValue, match=r"jumps by 5 mm at \(0, 3\)") as caught:
        mapping._refuse_jumps(points, long, spans)
    assert caught.value.by == 5
    assert caught.value.point == (0, 3)


def test_vertices_stay_and_what_was_asked_in_vain_goes() -> None:
    """Half a circle from one line, and a corner from another: the ends and what the tolerance
    needs, chords of no more than that; strokes in their order.
    """
    points = np.array([(0, 0), (math.pi, 0), (7, 7), (0, 50), (9, 50), (9, 60)], float)
    offsets = np.array([0, 2, 3, 6])

    def rolled(x: Any, y: Any) -> Any:
        is_low = y < 5
        return np.where(is_low, 10 * np.cos(x), x), np.where(is_low, 10 * np.sin(x), y)

    made, fresh = mapping.remap(points, offsets, rolled, tolerance=0.05, step=1.0)
    half = made[: fresh[1]]
    assert half[0] == pytest.approx((10, 0))
    assert half[-1] == pytest.approx((-10, 0), abs=1e-12)
    assert np.hypot(*half.T) == pytest.approx(np.full(len(half), 10.0))
    gaps = np.hypot(*np.diff(half, axis=0).T)
    assert gaps.max() ** 2 / 80 <= 0.05  # the rise of a chord c over a radius r is c² / 8 r
    assert made[fresh[1] :].tolist() == [[7, 7], [0, 50], [9, 50], [9, 60]]
    assert np.diff(fresh).tolist() == [len(half), 1, 3]
