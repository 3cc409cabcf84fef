"""Any area by one stroke: one, closed, crossing nothing, inside, evenly apart."""

from __future__ import annotations

from importlib import import_module

import numpy as np
import pytest
import shapely
from oracles_fills import share_within
from shapely import MultiPolygon, Polygon, box

from plotlib import fills
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen
from plotlib.shapes import star


def blob(seed: int, size: float = 12.0) -> Polygon:
    """A random area with lobes, some with a hole."""
    rng = np.random.default_rng(seed)
    angle = np.linspace(0, 2 * np.pi, 90, endpoint=False)
    far = np.full(len(angle), size)
    for wave in range(1, 6):
        far += rng.normal(0, 0.3 * size / wave) * np.cos(wave * angle + rng.uniform(0, 6.3))
    far = np.maximum(far, 0.25 * size)
    hole = shapely.Point(rng.uniform(-2, 2, 2)).buffer(rng.uniform(0, 2.5))
    area = Polygon(far[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])) - hole
    return max(shapely.get_parts(area), key=lambda part: part.area)


def assert_whole(drawing: Drawing, area: Polygon | MultiPolygon, strokes: int) -> None:
    assert len(drawing) == strokes
    lines = MultiPolygon([Polygon(stroke) for stroke in drawing]).boundary
    assert drawing.is_closed.all()
    assert all(shapely.linestrings(stroke).is_simple for stroke in drawing)
    assert shapely.MultiLineString(list(drawing)).is_simple
    assert area.covers(lines)


@pytest.mark.parametrize("seed", range(12))
def test_a_blob_is_one_simple_stroke_that_stays_inside(seed: int) -> None:
    area = blob(seed)
    spacing = 0.7
    drawing = fills.one_stroke(area, spacing=spacing)
    assert_whole(drawing, area, len(shapely.get_parts(area.buffer(-spacing / 4))))
    # Length = area / spacing of evenly spaced passes (references of one-stroke fills: L = A / s).
    assert drawing.length * spacing == pytest.approx(area.area, rel=0.1)
    wide = drawing.inked(Pen("wide", width=1.3 * spacing))
    assert fills.coverage(wide, area).covered > 0.98
    assert share_within(drawing, area, spacing) > 0.95


def touching() -> Polygon:
    """An area three of whose rings meet at one place, if they are 0.8 mm apart."""
    rng = np.random.default_rng(89)
    angle = np.linspace(0, 2 * np.pi, 120, endpoint=False)
    far = np.full(len(angle), 15.0)
    for wave in range(1, 7):
        far += rng.normal(0, 4.0 / wave) * np.cos(wave * angle + rng.uniform(0, 2 * np.pi))
    outline = np.maximum(far, 3.0)[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
    return Polygon(outline) - shapely.Point(rng.uniform(-4, 4, 2)).buffer(rng.uniform(0, 4))


def test_rings_that_touch_do_not_cost_the_stroke() -> None:
    """Every joint there crossed another one, and only the outermost ring was left."""
    area = touching()
    drawing = fills.one_stroke(area, spacing=0.8)
    assert_whole(drawing, area, 1)
    assert drawing.length * 0.8 > 0.9 * area.area


def test_what_stays_bare_for_want_of_a_way_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """With one try only: the rings that cross are left out, not all but the outermost one."""
    monkeypatch.setattr(import_module("plotlib.fills.one_stroke"), "_TRIES", ((1.0, True),))
    area = touching()
    with pytest.warns(fills.OneStrokeWarning, match=r"leaves \d.* mm² bare"):
        drawing = fills.one_stroke(area, spacing=0.8)
    assert_whole(drawing, area, 1)
    assert drawing.length * 0.8 > 0.5 * area.area


def test_parts_have_a_stroke_each_and_holes_stay_bare() -> None:
    lake = shapely.Point(10, 10).buffer(4)
    area = MultiPolygon([box(0, 0, 20, 20) - lake, box(30, 0, 40, 10)])
    drawing = fills.one_stroke(area, spacing=1)
    assert_whole(drawing, area, 2)


@pytest.mark.parametrize(("neck", "strokes"), [(2.4, 1), (0.9, 1), (0.6, 1), (0.45, 2)])
def test_a_neck_is_passed_down_to_half_the_spacing(neck: float, strokes: int) -> None:
    area = shapely.union_all(
        [box(0, 0, 10, 10), box(14, 0, 24, 10), box(9, 5 - neck / 2, 15, 5 + neck / 2)]
    )
    assert_whole(fills.one_stroke(area, spacing=1), area, strokes)


def test_a_band_narrower_than_the_spacing_is_gone_round_once() -> None:
    disc = shapely.Point(0, 0).buffer(10, 64)
    area = disc - shapely.Point(0, 0).buffer(9.2, 64)
    assert_whole(fills.one_stroke(area, spacing=1), area, 1)
    with pytest.warns(fills.OneStrokeWarning, match=r"nothing is drawn.*half the spacing of 2 mm"):
        assert len(fills.one_stroke(area, spacing=2)) == 0


def test_passes_of_a_disc_are_evenly_apart() -> None:
    """Distances of points from evenly spaced passes: mean s / 4, at most s / 2 (uniform between
    two lines).
    """
    area = shapely.Point(0, 0).buffer(20, 64)
    drawing = fills.one_stroke(area, spacing=1)
    rng = np.random.default_rng(1)
    points = rng.uniform(-13, 13, (4_000, 2))
    far = shapely.distance(shapely.linestrings(drawing[0]), shapely.points(points))
    assert far.mean() == pytest.approx(0.25, abs=0.01)
    assert np.percentile(far, 99) < 0.58
    # One arm of Fermat's spiral has equal areas between its turns, a double one a length of A / s.
    assert drawing.length == pytest.approx(area.area, rel=0.01)


def test_two_rows_in_eight_gaps_are_a_share_of_six() -> None:
    """The measure on straight rows: one left out makes two gaps of eight twice as wide."""
    rows = [[(0, y), (40, y)] for y in (0.5, 1.5, 2.5, 4.5, 5.5, 6.5, 7.5)]
    assert share_within(Drawing(rows), box(0, 0, 40, 8), 1.0) == pytest.approx(0.75, abs=0.001)
    assert share_within(Drawing(rows[:3]), box(0, 0, 40, 3), 1.0) == pytest.approx(1, abs=0.001)
    assert share_within(Drawing(rows[:3]), box(0, 0, 40, 3), 1.2) == 0


STAR = Polygon(star((0, 0), 15, tips=7)[0])
HOOK = shapely.union_all([box(0, 0, 4.9, 30), box(0, 0, 22, 4.9)])


@pytest.mark.parametrize(
    ("area", "spacing", "share"),
    [
        (STAR, 0.4, 0.98),
        (HOOK, 0.5, 0.98),
        (HOOK, 0.54, 0.96),
        (box(0, 0, 20, 12) - shapely.Point(8, 6).buffer(3), 0.5, 0.95),
    ],
)
def test_passes_keep_the_spacing_in_corners_and_where_it_does_not_go_up(
    area: Polygon, spacing: float, share: float
) -> None:
    drawing = fills.one_stroke(area, spacing=spacing)
    assert_whole(drawing, area, 1)
    assert share_within(drawing, area, spacing) > share


def test_noses_reach_into_the_corners_and_can_be_left_out() -> None:
    area = box(0, 0, 20, 12)
    plain = fills.one_stroke(area, spacing=1, noses=False)
    reaching = fills.one_stroke(area, spacing=1)
    assert_whole(plain, area, 1)
    assert share_within(reaching, area, 1.0) > share_within(plain, area, 1.0) + 0.02
    corners = shapely.points([(0, 0), (20, 0), (20, 12), (0, 12)])
    # A ring half a spacing from both sides of a right corner is 0.707 of it from the corner.
    assert shapely.distance(shapely.linestrings(plain[0]), corners).min() > 0.7
    assert shapely.distance(shapely.linestrings(reaching[0]), corners).max() < 0.6


def test_the_stroke_begins_where_it_is_asked_to() -> None:
    area = box(0, 0, 20, 30)
    plain = fills.one_stroke(area, spacing=1)
    begun = fills.one_stroke(area, spacing=1, start=(20, 11))
    assert begun[0][0] == pytest.approx((19.5, 11), abs=0.2)
    assert (begun[0][0] == begun[0][-1]).all()
    assert begun.length == pytest.approx(plain.length, rel=1e-9)
    assert_whole(begun, area, 1)


def test_the_same_area_gives_the_same_stroke() -> None:
    area = Polygon(star((0, 0), 15, tips=6)[0])
    one = fills.one_stroke(area, spacing=0.9)
    assert (one.points == fills.one_stroke(area, spacing=0.9).points).all()


def test_a_spacing_far_too_fine_is_refused_with_one_that_is_not() -> None:
    with pytest.raises(InvalidValue, match="mm") as caught:
        fills.one_stroke(box(0, 0, 1_000, 1_000), spacing=0.01)
    assert caught.value.count == pytest.approx(1e10)


def test_too_fine_a_spacing_is_told_with_one_that_is_obeyed() -> None:
    with pytest.raises(InvalidValue, match=r"more than 3,000,000; take 0\.058 mm or more"):
        fills.one_stroke(box(0, 0, 100, 100), spacing=0.001)
