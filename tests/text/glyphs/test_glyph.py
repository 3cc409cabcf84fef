from itertools import pairwise

import numpy as np
import pytest

from plotlib.text.glyphs.faces import faces
from plotlib.text.glyphs.glyph import Glyph, doubled, from_record, joined
from plotlib.text.glyphs.records import characters, record


def stroke(*points):
    return np.array(points, float)


@pytest.mark.parametrize(
    ("a", "b", "wanted"),
    [
        ([(0, 0), (1, 0)], [(1, 0), (1, 1)], [(0, 0), (1, 0), (1, 1)]),
        ([(0, 0), (1, 0)], [(1, 1), (1, 0)], [(0, 0), (1, 0), (1, 1)]),
        ([(1, 0), (0, 0)], [(1, 1), (1, 0)], [(1, 1), (1, 0), (0, 0)]),
        ([(1, 0), (0, 0)], [(1, 0), (1, 1)], [(1, 1), (1, 0), (0, 0)]),
    ],
)
def test_two_strokes_with_a_common_end_become_one(a, b, wanted):
    assert [part.tolist() for part in joined([stroke(*a), stroke(*b)])] == [
        [list(map(float, p)) for p in wanted]
    ]


def test_a_third_stroke_at_the_same_point_stays_alone_and_closed_ones_too():
    ring = stroke((0, 0), (1, 0), (1, 1), (0, 0))
    parts = joined([stroke((0, 0), (5, 0)), stroke((0, 0), (0, 5)), ring, stroke((0, 0), (-5, 0))])
    assert len(parts) == 3
    assert any(np.array_equal(part, ring) for part in parts)


def _ink(strokes):
    """Segments whichever way they are drawn, with how often."""
    pairs = [tuple(sorted((tuple(a), tuple(b)))) for part in strokes for a, b in pairwise(part)]
    return sorted(pairs)


def test_joining_keeps_the_ink_of_every_glyph_segment_for_segment():
    saved = 0
    for face in faces():
        for character in characters(face):
            published = record(face, character)
            units = [part * (1.0, -1.0) + (0.0, 9.0) for part in published.strokes]
            glyph = from_record(published)
            assert _ink(glyph.strokes) == _ink(units)
            saved += len(units) - len(glyph.strokes)
    assert saved > 1000


def test_lifts_saved_in_the_plain_face():
    pairs = [record("roman simplex", character) for character in characters("roman simplex")]
    assert (
        sum(len(found.strokes) for found in pairs)
        - sum(len(from_record(found).strokes) for found in pairs)
        >= 35
    )


def test_band_counts_crossings_between_points():
    glyph = Glyph(0, 10, (stroke((0, 0), (10, 10)),))
    assert glyph.band(4, 6) == pytest.approx((4, 6))
    assert glyph.band(11, 12) is None


def test_a_doubled_stroke_is_a_closed_outline_about_it():
    outline = doubled(stroke((0, 0), (0, 10)), 1.0, 0.0)
    assert (outline[0] == outline[-1]).all()
    assert outline[:, 0].min() == -0.5
    assert outline[:, 0].max() == 0.5
