"""Areas made smaller, larger, round, outlined and stacked, against closed forms and against shapely
on whole areas.
"""

from __future__ import annotations

import hypothesis.strategies as st
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from shapely import Polygon, box

from plotlib import fills, regions
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, UnknownName
from plotlib.pen import Pen
from plotlib.shapes import circle, line, rectangle

BROAD = Pen("broad", 1.0)
RED = Pen("red", 0.4, "#b4431f")
FRAME = box(0, 0, 20, 12).difference(box(5, 4, 15, 8))


def test_inset_and_outset_of_a_rectangle() -> None:
    assert regions.inset(box(0, 0, 10, 6), 1).equals(box(1, 1, 9, 5))
    assert regions.inset(box(0, 0, 10, 6), 3).is_empty
    assert regions.outset(box(0, 0, 10, 6), 1, corners="sharp").equals(box(-1, -1, 11, 7))
    assert regions.outset(box(0, 0, 10, 6), 1).area == pytest.approx(60 + 32 + np.pi, rel=1e-3)
    assert regions.inset(box(0, 0, 10, 6), -1).equals(regions.outset(box(0, 0, 10, 6), 1))


def test_rounded_takes_from_outside_corners_and_adds_to_inside_ones() -> None:
    """Each right corner of radius r loses or gains (1 - pi / 4) r², plane geometry, but for chords
    within 0.02 mm of the arc.
    """
    corner = (1 - np.pi / 4) * 0.25
    chords = 0.02 * np.pi / 4
    angle = box(0, 0, 10, 10).difference(box(5, 5, 10, 10))
    assert regions.rounded(angle, 0.5, corners="outside").area == pytest.approx(
        75 - 5 * corner, abs=5 * chords
    )
    assert regions.rounded(angle, 0.5, corners="inside").area == pytest.approx(
        75 + corner, abs=chords
    )
    assert regions.rounded(angle, 0.5).area == pytest.approx(75 - 4 * corner, abs=6 * chords)
    assert regions.rounded(angle, 0).equals(angle)
    assert (
        regions.rounded(angle, 0.5, corners="outside").area
        < 75
        < regions.rounded(angle, 0.5, corners="inside").area
    )


@pytest.mark.parametrize(
    ("true", "edge"), [("outside", (0, 0, 20, 12)), ("inside", (-1, -1, 21, 13))]
)
def test_compensated_outlines_measure_true_over_the_ink(true: str, edge: tuple[float, ...]) -> None:
    drawing = regions.compensated(FRAME, pen=BROAD, true=true)
    assert len(drawing) == 2
    assert drawing.is_closed.all()
    ink = regions.swept(drawing)
    assert ink.bounds == pytest.approx(
        edge, abs=5e-4
    )  # half a unit of a machine with three decimals
    if true == "outside":
        assert FRAME.buffer(1e-6).covers(ink)


def test_inked_is_the_area_that_pens_cover() -> None:
    """A stadium of length 10 and width 2 has the area 20 + pi; a dot of width 1 pi / 4; chords take
    less than 1 %.
    """
    assert regions.swept(line((0, 0), (10, 0)), width=2).area == pytest.approx(20 + np.pi, rel=5e-3)
    both = Drawing([[(0, 0)]], pen=BROAD) + Drawing([[(50, 0), (60, 0)]], pen=RED)
    assert regions.swept(both).area == pytest.approx(np.pi / 4 + 4 + np.pi * 0.04, rel=1e-2)
    assert regions.swept(Drawing()).is_empty


def test_outline_gives_closed_copies_out_and_in() -> None:
    rings = regions.outline(FRAME, distances=(0, 1, -1), corners="sharp", pen=RED)
    assert rings.is_closed.all()
    assert rings.lengths.tolist() == pytest.approx([64, 28, 72, 20, 56, 28 + 2 * np.pi], abs=4e-3)
    assert len(regions.outline(FRAME, distances=(-3,))) == 0
    assert rings.pens == (RED,)


def test_the_medial_axis_runs_along_the_middle_of_a_strip() -> None:
    drawing = regions.medial_axis(box(0, 0, 40, 1), step=0.2)
    left, bottom, right, top = drawing.bounds or (0, 0, 0, 0)
    assert (bottom, top) == (pytest.approx(0.5, abs=0.1), pytest.approx(0.5, abs=0.1))
    assert right - left == pytest.approx(39, abs=1.1)


# ---- hidden lines


def test_what_lies_below_is_cut_away_and_what_is_free_stays_as_it_was() -> None:
    below = rectangle((0, 0), 10, 10, pen=RED)
    free = circle((50, 50), 5)
    above = rectangle((5, 5), 10, 10, pen=BROAD)
    seen = regions.stack([below, free, above])
    assert seen.by_pen()[RED].length == pytest.approx(30)
    assert seen.by_pen()[BROAD] == above
    assert free[0].tolist() in [stroke.tolist() for stroke in seen]
    assert regions.stack([above, below]).by_pen()[BROAD].length == pytest.approx(30)


def test_a_gap_keeps_lines_away_and_an_open_drawing_hides_nothing() -> None:
    long = line((0, 0), (20, 0))
    lid = rectangle((8, -5), 4, 10)
    assert regions.stack([long, lid], gap=1)[:2].lengths.tolist() == pytest.approx([7, 7])
    assert regions.stack([lid, long]) == lid + long
    assert regions.stack([long, line((10, -5), (10, 5))]).length == 30
    assert regions.stack([long, (Drawing(), box(8, -5, 12, 5))]).length == pytest.approx(16)
    assert len(regions.stack([])) == 0


def test_silhouette_is_all_that_closed_strokes_surround() -> None:
    assert (
        regions.silhouette(
            rectangle((0, 0), 10, 10) + rectangle((2, 2), 5, 5) + line((0, 0), (99, 99))
        ).area
        == 100
    )
    assert regions.silhouette(rectangle((0, 0), 4, 4) + rectangle((2, 2), 4, 4)).area == 28


places = st.tuples(st.integers(0, 24), st.integers(0, 24), st.integers(1, 12), st.integers(1, 12))


@settings(deadline=None)
@given(st.lists(places, max_size=7), st.sampled_from([0.0, 0.5]))
def test_a_stack_shows_of_each_edge_what_no_later_silhouette_covers(
    boxes: list[tuple[int, int, int, int]], gap: float
) -> None:
    areas = [box(x, y, x + w, y + h) for x, y, w, h in boxes]
    seen = regions.stack([Drawing(area) for area in areas], gap=gap)
    expected = 0.0
    for number, area in enumerate(areas):
        above = shapely.union_all(
            [other.buffer(gap, quad_segs=8) for other in areas[number + 1 :]] or [Polygon()]
        )
        expected += area.exterior.difference(above).length
    assert seen.length == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(
    ("call", "error", "words"),
    [
        (lambda: regions.inset(FRAME, float("nan")), InvalidValue, "distance"),
        (lambda: regions.inset("x", 1), InvalidValue, "region must be an area"),
        (lambda: regions.outset(FRAME, 1, corners="cut"), UnknownName, "corners must be one of"),
        (lambda: regions.rounded(FRAME, -1), InvalidValue, "radius"),
        (lambda: regions.rounded(FRAME, 1, corners="some"), UnknownName, "corners must be one of"),
        (lambda: regions.compensated(FRAME, true="middle"), UnknownName, "true must be one of"),
        (lambda: regions.swept(line((0, 0), (1, 1)), width=0), InvalidValue, "width"),
        (lambda: regions.medial_axis(FRAME, step=0), InvalidValue, "step"),
        (lambda: regions.stack([rectangle((0, 0), 1, 1), 3]), InvalidValue, "items: item 1 must"),
        (lambda: regions.stack(None), InvalidValue, "items must be several Drawings"),
        (lambda: regions.stack(rectangle((0, 0), 1, 1)), InvalidValue, "items .* got one Drawing"),
        (
            lambda: regions.stack([(Drawing(), "lid")]),
            InvalidValue,
            "items: the region of item 0 must be an area",
        ),
        (lambda: regions.silhouette(FRAME), InvalidValue, "drawing must be a Drawing"),
        (lambda: regions.swept(FRAME), InvalidValue, "drawing must be a Drawing"),
        (lambda: regions.swept(Drawing(), width=-1), InvalidValue, "width"),
        (lambda: regions.outline(FRAME, distances=2), InvalidValue, "distances must be several"),
        (lambda: regions.outline(FRAME, distances="2"), InvalidValue, "distances must be several"),
        (lambda: regions.outline(FRAME, distances=[1, None]), InvalidValue, "distances"),
        (lambda: regions.compensated(FRAME, pen="blue"), InvalidValue, "pen must be a Pen"),
        (lambda: regions.stack([], gap=-1), InvalidValue, "gap"),
        (lambda: fills.contour(FRAME, spacing=0), InvalidValue, "spacing"),
        (lambda: fills.solid(FRAME, overlap=1), InvalidValue, "overlap"),
        (lambda: fills.solid(FRAME, method="paint"), UnknownName, "method"),
        (lambda: fills.dots(FRAME, spacing=-1), InvalidValue, "spacing"),
        (lambda: fills.dots(FRAME, spacing=1, layout="round"), UnknownName, "layout"),
        (
            lambda: fills.wave(FRAME, spacing=1, amplitude=0, wavelength=3),
            InvalidValue,
            "amplitude",
        ),
        (
            lambda: fills.zigzag(FRAME, spacing=0, amplitude=1, wavelength=3),
            InvalidValue,
            "spacing",
        ),
        (lambda: fills.spiral(FRAME, spacing=float("inf")), InvalidValue, "spacing"),
        (lambda: fills.radial(FRAME, count=0), InvalidValue, "count"),
        (lambda: fills.tiles(FRAME, size=0), InvalidValue, "size"),
        (lambda: fills.tiles(FRAME, size=2, tiling="fish"), UnknownName, "tiling"),
        (lambda: fills.scribble(FRAME, spacing=0), InvalidValue, "spacing"),
    ],
)
def test_wrong_values_are_refused(call: object, error: type[Exception], words: str) -> None:
    with pytest.raises(error, match=words):
        call()  # type: ignore[operator]


# ---- many areas at once, against shapely on the whole


@settings(deadline=None)
@given(st.lists(places, max_size=9), st.sampled_from([0.3, 0.5, 1.0, 2.5]), st.booleans())
def test_an_outset_of_many_parts_is_that_of_the_whole(
    boxes: list[tuple[int, int, int, int]], distance: float, sharp: bool
) -> None:
    """Parts that stay apart, meet in a point or an edge, overlap, or lie in another's hole."""
    frame = box(-40, -40, 60, 60).difference(box(-5, -5, 45, 45))
    area = shapely.union_all([frame, *(box(x, y, x + w, y + h) for x, y, w, h in boxes)])
    corners = "sharp" if sharp else "round"
    found = regions.outset(area, distance, corners=corners)
    join = "mitre" if sharp else "round"
    expected = shapely.buffer(area, distance, quad_segs=32, join_style=join, mitre_limit=5.0)
    assert found.is_valid
    assert shapely.symmetric_difference(found, expected).area < 1e-3 * distance**2


@settings(deadline=None)
@given(st.lists(places, min_size=1, max_size=9))
def test_united_ink_is_the_union(boxes: list[tuple[int, int, int, int]]) -> None:
    drawing = Drawing([box(x, y, x + w, y + h) for x, y, w, h in boxes])
    found = regions.swept(drawing, width=0.5)
    expected = shapely.union_all(shapely.buffer(drawing.to_shapely(), 0.25, quad_segs=32))
    assert found.is_valid
    assert shapely.symmetric_difference(found, expected).area < 1e-9


def test_a_deep_pile_shows_what_the_masks_leave_all_at_once() -> None:
    random = np.random.default_rng(5)
    discs = [circle(random.uniform(0, 30, 2), random.uniform(2, 9)) for _ in range(120)]
    seen = regions.stack(discs)
    expected = 0.0
    for number, disc in enumerate(discs):
        above = shapely.union_all([regions.as_region(other) for other in discs[number + 1 :]])
        expected += shapely.LineString(disc[0]).difference(above).length
    assert seen.length == pytest.approx(expected, abs=1e-6)


def test_small_rings_keep_their_holes() -> None:
    """Against the union of what each segment inks: shapely's buffer of a whole closed line may
    lose the hole.
    """
    random = np.random.default_rng(11)
    angle = np.linspace(0, 2 * np.pi, 33)
    for _ in range(40):
        radius = random.uniform(0.2, 2.0)
        ring = radius * np.column_stack([np.cos(angle), np.sin(angle)]) + random.uniform(-9, 9, 2)
        ring[-1] = ring[0]
        width = radius * random.uniform(0.6, 1.8)
        steps = shapely.linestrings(np.stack([ring[:-1], ring[1:]], axis=1))
        inked = shapely.union_all(shapely.buffer(steps, width / 2))
        found = regions.swept(Drawing([ring]), width=width)
        assert found.area == pytest.approx(inked.area, rel=0.01)
