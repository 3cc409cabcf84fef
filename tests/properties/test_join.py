"""Laws of joining: the ink stays the same, and the count is Euler's."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from plotlib.planning.ordering.join import join
from tests.oracles_planning import euler_count, ragged, segments, strokes_of


def strokes(span: int):
    point = st.tuples(st.integers(0, span), st.integers(0, span))
    stroke = st.lists(point, min_size=1, max_size=6).map(without_repeats)
    closed = st.lists(point, min_size=3, max_size=5).map(
        lambda line: without_repeats([*line, line[0]])
    )
    return st.lists(stroke | closed, max_size=12)


def without_repeats(line):
    return [point for k, point in enumerate(line) if k == 0 or point != line[k - 1]]


@given(strokes(3) | strokes(6))
@settings(max_examples=400, deadline=None)
def test_the_same_segments_in_the_fewest_runs(given_strokes):
    joined = join(*ragged(given_strokes))
    runs = strokes_of(joined.points, joined.offsets)
    assert segments(runs) == segments(given_strokes)
    assert len(runs) == joined.least == euler_count(given_strokes)
    assert joined.linked == 0.0


@given(strokes(3) | strokes(6))
@settings(max_examples=200, deadline=None)
def test_each_run_is_told_by_its_lowest_stroke_in_its_direction(given_strokes):
    joined = join(*ragged(given_strokes))
    assert (joined.source[1:] > joined.source[:-1]).all()
    for source, run in zip(joined.source, strokes_of(joined.points, joined.offsets), strict=True):
        assert not segments([given_strokes[source][:2]]) - segments([run])


@given(strokes(12), st.floats(0.5, 12))
@settings(max_examples=300, deadline=None)
def test_each_link_saves_one_lift_and_is_no_longer_than_the_tolerance(given_strokes, tolerance):
    plain = join(*ragged(given_strokes))
    joined = join(*ragged(given_strokes), tolerance=tolerance)
    runs = strokes_of(joined.points, joined.offsets)
    assert not segments(given_strokes) - segments(runs)
    links = segments(runs) - segments(given_strokes)
    lengths = [((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) ** 0.5 for a, b in links.elements()]
    assert len(runs) == joined.least == plain.least - len(lengths) == euler_count(runs)
    assert max(lengths, default=0.0) <= tolerance * (1 + 1e-12)
    assert abs(sum(lengths) - joined.linked) < 1e-9


@given(strokes(8))
@settings(max_examples=50, deadline=None)
def test_joining_again_changes_nothing_in_count(given_strokes):
    once = join(*ragged(given_strokes))
    assert (
        join(once.points, once.offsets).least
        == once.least
        == len(join(once.points, once.offsets).offsets) - 1
    )
