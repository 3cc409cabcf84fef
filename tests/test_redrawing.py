"""Drawings bent by functions, and cut into dashes."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from plotlib import progress
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen
from plotlib.shapes import circle, rectangle
from plotlib.testing import drawings

BLUE = Pen("blue", 0.4)
LINE = Drawing([[(0, 0), (10, 0)]])
SQUARE = rectangle((0, 0), 10, 10)
some = settings(deadline=None, max_examples=25)


def polar(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Straight lines of one y become arcs of that radius: the textbook's polar coordinates."""
    return y * np.cos(x), y * np.sin(x)


# ---- mapped
def test_bending_shows_progress() -> None:
    told = []
    progress.listen(lambda what, share: told.append(what))
    try:
        LINE.mapped(polar)
    finally:
        progress.listen_on_stderr()
    assert told == ["bending the drawing"] * len(told)
    assert told


def test_bending_tells_its_share() -> None:
    told: list[tuple[str, float | None]] = []
    progress.listen(lambda what, share: told.append((what, share)))
    try:
        bent = Drawing([[(0, 30), (9, 30)]]).mapped(polar, tolerance=1e-8)
    finally:
        progress.listen_on_stderr()
    assert len(bent.points) > 10_000
    shares = [share for what, share in told if what == "bending the drawing" and share is not None]
    assert shares == sorted(shares)
    assert any(0 < share < 1 for share in shares)


def test_a_map_of_too_many_points_is_foreseen() -> None:
    asked = 0

    def spiral(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        nonlocal asked
        asked += len(x)
        return np.exp(x) * np.cos(y), np.exp(x) * np.sin(y)

    with pytest.raises(InvalidValue, match="more than 20,000,000") as told:
        rectangle((0, 0), 200, 100).mapped(spiral, tolerance=0.02)
    assert told.value.facts["count"] > 20_000_000
    assert asked < 1_000_000


def test_corners_of_a_map_are_not_foreseen_as_bends() -> None:
    # Each tooth is 200 mm high: as bends, those of 120,000 mm would come to 24 million points.
    comb = Drawing([[(k * 30.0, 0), (k * 30.0, 30.0)] for k in range(4_000)])
    teeth = comb.mapped(lambda x, y: (x, 200 * np.abs((y + 0.31) % 1 - 0.5)), step=0.5)
    assert len(teeth) == len(comb)


def test_a_straight_line_becomes_the_arc_that_it_is() -> None:
    arc = Drawing([[(0, 30), (np.pi, 30)]]).mapped(polar, tolerance=0.01)[0]
    assert np.allclose(np.hypot(*arc.T), 30, atol=1e-9)
    middles = (arc[1:] + arc[:-1]) / 2
    assert (30 - np.hypot(*middles.T)).max() <= 0.01
    # a chord of sagitta s on radius r: 2 acos(1 - s / r) of arc, so 61 at least for 0.01 of 30
    least = np.pi / (2 * np.arccos(1 - 0.01 / 30))
    assert least <= len(arc) - 1 <= 2.5 * least


def test_what_stays_straight_gets_no_points() -> None:
    drawing = SQUARE + LINE + Drawing([[(3, 3)]], pen=BLUE)
    assert drawing.mapped(lambda x, y: (x, y)) == drawing
    assert drawing.mapped(lambda x, y: (2 * x + y, y - 7)) == drawing.transformed(
        [[2, 1, 0], [0, 1, -7]]
    )


def test_dots_closed_strokes_and_pens_stay() -> None:
    drawing = circle((0, 5), 2, pen=BLUE) + Drawing([[(1, 4)]]) + LINE.moved(0, 3)
    bent = drawing.mapped(lambda x, y: (x + np.sin(y), y + np.cos(x)))
    assert bent.is_closed.tolist() == [True, False, False]
    assert [len(stroke) == 1 for stroke in bent] == [False, True, False]
    assert [bent.pens[k].name for k in bent.pen_index] == ["blue", "pen", "pen"]


def test_a_wave_shorter_than_its_segment_is_seen() -> None:
    waved = LINE.mapped(lambda x, y: (x, np.sin(2 * np.pi * x)), tolerance=0.01)
    assert waved.bounds is not None
    assert waved.bounds[1] < -0.98
    assert waved.bounds[3] > 0.98


@some
@given(drawings(within=(1, 1, 60, 60)), st.sampled_from([0.3, 0.05, 0.01]))
def test_images_lie_within_the_tolerance(drawing: Drawing, tolerance: float) -> None:
    def lens(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return x + 6 * np.sin(y / 9), y + 4 * np.cos(x / 7)

    bent = drawing.mapped(lens, tolerance=tolerance)
    assert len(bent) == len(drawing)
    for before, after in zip(drawing, bent, strict=True):
        fine = Drawing([before]).resampled(0.05)[0]
        image = np.column_stack(lens(*fine.T))
        line = shapely.Point(after[0]) if len(after) == 1 else shapely.LineString(after)
        assert shapely.distance(shapely.points(image), line).max() <= tolerance * 1.05 + 1e-9


@pytest.mark.parametrize(
    ("function", "words"),
    [
        (lambda x, y: (x + (x > 5.2), y), "jumps by 1 mm at (5.2"),
        (lambda x, y: (x, y + 0.1 * (x > 5.2)), "jumps by 0.1 mm at (5.2"),
        (lambda x, y: (x, y / (x - x)), "no finite number at (0, 0)"),
        (lambda x, y: x, "pair of arrays"),
        (lambda x, y: (x[:3], y), "pair of arrays"),
        (lambda x, y: ("a", y), "pair of arrays"),
        (lambda x, y: (float(x) if len(x) == 1 else float(x[[0, 1]]), y), "numpy's functions"),
        (lambda x: (x, x), "numpy's functions"),
        (7, "must be a function"),
    ],
)
@pytest.mark.filterwarnings("ignore:invalid value:RuntimeWarning")
@pytest.mark.filterwarnings("ignore:divide by zero:RuntimeWarning")
def test_functions_that_do_not_serve_are_refused(function: object, words: str) -> None:
    with pytest.raises(InvalidValue, match=r".*") as caught:
        LINE.mapped(function)  # type: ignore[arg-type]
    assert words in str(caught.value)


def test_a_jump_says_where() -> None:
    with pytest.raises(InvalidValue) as caught:
        LINE.mapped(lambda x, y: (np.where(x > 7, x + 3, x), y))
    assert caught.value.point == pytest.approx((7, 0), abs=1e-6)
    assert caught.value.by == pytest.approx(3, abs=1e-6)


# ---- dashed


def svg_dashes(length: float, pattern: list[float], offset: float) -> list[tuple[float, float]]:
    """Inked parts by the algorithm of W3C, SVG 2, section 13.5.6 ("dash positions"), written down
    step by step for one subpath.
    """
    if len(pattern) % 2:
        pattern = pattern * 2
    total = sum(pattern)
    offset = offset % total
    index = 0
    while offset >= pattern[index]:
        offset -= pattern[index]
        index = (index + 1) % len(pattern)
    position = 0.0
    parts = []
    while position < length:
        step = min(pattern[index] - offset, length - position)
        offset = 0.0
        if index % 2 == 0:
            parts.append((position, position + step))
        position += step
        index = (index + 1) % len(pattern)
    return parts


@some
@given(
    st.lists(st.integers(1, 40).map(lambda n: n / 8), min_size=1, max_size=5),
    st.integers(0, 300).map(lambda n: n / 16),
    st.integers(1, 200).map(lambda n: n / 4 + 0.01),
)
def test_dashes_lie_where_the_standard_puts_them(
    pattern: list[float], phase: float, length: float
) -> None:
    found = Drawing([[(0, 0), (length, 0)]]).dashed(pattern, offset=phase)
    wanted = svg_dashes(length, pattern, phase)
    assert len(found) == len(wanted)
    ends = [tuple(stroke[[0, -1], 0]) for stroke in found]
    assert np.allclose(np.reshape(ends, (-1, 2)), np.reshape(wanted, (-1, 2)))


@some
@given(drawings(), st.floats(0.5, 20), st.floats(0.5, 20), st.floats(-50, 50))
def test_dashes_and_gaps_are_the_ink_once(
    drawing: Drawing, ink: float, gap: float, phase: float
) -> None:
    dashes = drawing.dashed((ink, gap), offset=phase)
    gaps = drawing.dashed((gap, ink), offset=phase - ink)
    assert dashes.length + gaps.length == pytest.approx(drawing.length, abs=1e-6)
    lines = [line for line in drawing.to_shapely() if line.length > 0]
    for part in dashes.to_shapely():
        assert not lines or part.distance(shapely.union_all(lines)) < 1e-9 or part.length == 0
    assert all(length <= ink + 1e-6 for length in dashes.lengths)


def test_corners_inside_a_dash_stay() -> None:
    bent = Drawing([[(0, 0), (3, 0), (3, 3)]]).dashed((4, 1))
    assert [stroke.tolist() for stroke in bent] == [
        [[0, 0], [3, 0], [3, 1]],
        [[3, 2], [3, 3]],
    ]


def test_whole_periods_leave_no_seam() -> None:
    ring = circle((0, 0), 10)
    whole = ring.dashed((3, 2), whole=True)
    assert np.ptp(whole.lengths) < 1e-6
    assert whole.length / ring.length == pytest.approx(0.6)
    line = LINE.dashed((3, 2), whole=True)  # two dashes and a gap: 8 mm stretched to 10
    assert [stroke[:, 0].tolist() for stroke in line] == [[0, 3.75], [6.25, 10]]


def test_a_dash_of_length_0_is_a_dot() -> None:
    assert [stroke.tolist() for stroke in LINE.dashed((0, 5))] == [[[0, 0]], [[5, 0]], [[10, 0]]]
    ring = SQUARE.dashed((0, 10), whole=True)
    assert [stroke[0].tolist() for stroke in ring] == [[0, 0], [10, 0], [10, 10], [0, 10]]
    assert len(LINE.dashed((0, 5, 1, 1), shortest=2)) == 2


def test_a_field_stretches_the_pattern() -> None:
    """By the integral of 1 / (1 + x): the end of the n-th period lies at exp(n p) - 1."""
    line = Drawing([[(0, 0), (30, 0)]])
    found = line.dashed((0.5, 0.5), scale=lambda x, y: 1 + x, step=0.01)
    starts = [stroke[0, 0] for stroke in found]
    assert np.allclose(starts, np.expm1(np.arange(4)), rtol=1e-3)
    assert [len(stroke) for stroke in found] == [2] * 4
    assert len(line.dashed((1, 1), scale=3)) == len(line.dashed((3, 3)))


def test_pens_and_dots_stay() -> None:
    drawing = LINE + Drawing([[(1, 1)]], pen=BLUE)
    dashes = drawing.dashed((3, 1))
    assert [dashes.pens[k].name for k in dashes.pen_index] == ["pen"] * 3 + ["blue"]
    assert len(Drawing().dashed((3, 1))) == 0
    twice = Drawing([[(2, 2), (2, 2)]])
    assert len(twice.dashed((3, 1))) == len(twice.dashed((3, 1), scale=lambda x, y: 2 + x)) == 1


@pytest.mark.parametrize("pattern", [(), (0, 0), (1, -1), (np.nan, 1), "ab", 3.0, [(1, 2)]])
def test_patterns_that_are_none_are_refused(pattern: object) -> None:
    with pytest.raises(InvalidValue, match="pattern"):
        LINE.dashed(pattern)  # type: ignore[arg-type]


def test_too_many_dashes_are_refused_before_they_are_made() -> None:
    with pytest.raises(InvalidValue, match="take a longer one"):
        LINE.dashed((1e-9, 1e-9))
    with pytest.raises(InvalidValue, match="must be greater than 0"):
        LINE.dashed((1, 1), scale=lambda x, y: 1 - x)


def test_the_order_of_dashes_is_that_of_the_stroke() -> None:
    starts = [stroke[0, 0] for stroke in LINE.dashed((0.7, 0.4, 0.1, 0.2))]
    assert all(first < second for first, second in pairwise(starts))


# ---- thinned


def all_pairs(drawing: Drawing, spacing: float) -> list[np.ndarray]:
    """Which nodes stay, by comparing each with all free ones of strokes before: the slow way."""
    kept: list[np.ndarray] = []
    result = []
    for stroke in drawing:
        nodes = [stroke[0]]
        for one, two in pairwise(stroke):
            parts = max(int(np.ceil(np.hypot(*(two - one)) / (spacing / 4))), 1)
            nodes += [one + (two - one) * share for share in np.arange(1, parts + 1) / parts]
        places = np.array(nodes)
        free = np.ones(len(places), np.bool_)
        for others in kept:
            near = np.hypot(*(places[:, None] - others[None]).transpose(2, 0, 1)) < spacing
            free &= ~near.any(axis=1)
        kept.append(places[free])
        result.append(places[free])
    return result


@some
@given(drawings(), st.sampled_from([1.0, 3.0, 8.0]))
def test_what_stays_is_what_comparing_all_pairs_leaves(drawing: Drawing, spacing: float) -> None:
    thin = drawing.thinned(spacing)
    wanted = all_pairs(drawing, spacing)
    free = np.concatenate([places for places in wanted if len(places)] or [np.empty((0, 2))])
    for point in thin.points:
        assert np.hypot(*(free - point).T).min() < 1e-9
    assert thin.length <= drawing.length + 1e-9
    if len(drawing):
        assert thin[:1] == drawing[:1]


def test_lines_that_run_together_end_where_they_meet() -> None:
    fan = Drawing([[(0, 0), (100, 0)], [(0, 3), (100, 0)], [(0, 6), (100, 0)]])
    thin = fan.thinned(1.0)
    assert np.allclose([stroke[-1, 0] for stroke in thin], [100, 66.7, 83.3], atol=0.3)
    assert fan.thinned(0.01)[0].tolist() == fan[0].tolist()
    crossing = Drawing([[(0, 0), (10, 0)], [(5, -5), (5, 5)]]).thinned(1.0)
    assert len(crossing) == 3
    assert len(Drawing([[(0, 0), (10, 0)], [(9, -5), (9, 0.8)]]).thinned(1, shortest=3)) == 2


def test_thinning_keeps_pens_and_dots() -> None:
    drawing = LINE + Drawing([[(5, 0.5)], [(5, 3)]], pen=BLUE)
    thin = drawing.thinned(1)
    assert [len(stroke) for stroke in thin] == [2, 1]
    assert thin.pens[thin.pen_index[1]].name == "blue"
    assert len(Drawing().thinned(1)) == 0
