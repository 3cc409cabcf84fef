from __future__ import annotations

import copy
import pickle

import numpy as np
import pytest
import shapely
from shapely import LineString, MultiLineString, MultiPolygon, Point, Polygon

from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, NoSuchStroke
from plotlib.pen import DEFAULT_PEN, Pen
from plotlib.sheet import Sheet

BLUE = Pen("blue", 0.4, "#1d4e89", 2_500)
RED = Pen("red", 0.8, "#b4431f")
SQUARE = [(0, 0), (10, 0), (10, 10), (0, 10), (0, 0)]


def same(drawing: Drawing, strokes: list[list[tuple[float, float]]]) -> bool:
    return [stroke.tolist() for stroke in drawing] == [
        [list(point) for point in stroke] for stroke in strokes
    ]


# ---- what a drawing is made from


@pytest.mark.parametrize(
    "strokes",
    [
        [SQUARE, [(1, 2)]],
        [np.array(SQUARE), np.array([[1, 2]], np.float32)],
        (np.array(stroke, np.int16) for stroke in (SQUARE, [(1, 2)])),
        [Polygon(SQUARE[:-1]), Point(1, 2)],
        shapely.GeometryCollection(
            [LineString(SQUARE), MultiLineString([]), shapely.GeometryCollection([Point(1, 2)])]
        ),
        Drawing([SQUARE, [(1, 2)]]),
        [Drawing([SQUARE]), Drawing(), Drawing([[(1, 2)]])],
        [LineString(SQUARE), [(1, 2)]],
    ],
)
def test_is_made_from_arrays_geometries_and_drawings(strokes: object) -> None:
    drawing = Drawing(strokes)
    assert same(drawing, [SQUARE, [(1, 2)]])
    assert drawing.pens == (DEFAULT_PEN,)
    assert drawing.is_closed.tolist() == [True, False]


def test_polygons_give_outer_and_inner_rings_in_order() -> None:
    hole = [(2, 2), (2, 4), (4, 4), (2, 2)]
    area = MultiPolygon([Polygon(SQUARE, [hole]), Polygon([(20, 0), (30, 0), (20, 5)])])
    assert same(Drawing([Point(9, 9), area, LineString([(0, 0), (1, 1)])])[1:3], [SQUARE, hole])
    assert [
        len(stroke) for stroke in Drawing([Point(9, 9), area, LineString([(0, 0), (1, 1)])])
    ] == [1, 5, 4, 4, 2]


def test_one_block_of_equal_strokes_is_taken_as_it_is() -> None:
    block = np.arange(24, dtype=np.int32).reshape(3, 4, 2)
    assert same(Drawing(block), block.tolist())


@pytest.mark.parametrize(
    ("strokes", "words"),
    [
        ([[(0, 0)], [(0, 0), (1, np.nan)]], "stroke 1, point 1 is not finite"),
        ([[(0, 0)], [(np.inf, 0)]], "stroke 1, point 0 is not finite"),
        ([[(0, 0), (0, 2e9)]], "stroke 0, point 1 is beyond"),
        ([[(0, 0)], []], r"stroke 1 must have shape \(n, 2\)"),
        ([[(0, 0)], [(1, 2, 3)]], r"stroke 1 must have shape \(n, 2\) with n >= 1, got \(1, 3\)"),
        ([(0, 0), (1, 1)], "stroke 0 is one point, not a list of points"),
        ([[(0, 0), (1,)]], "stroke 0 is ragged"),
        ([[(0, 0), ("a", "b")]], "stroke 0, point 1: .* is not two numbers"),
        ([[(0, 0), (1, None)]], "stroke 0, point 1: .* is not two numbers"),
        ([[(0, 0), (1, 1j)]], "stroke 0, point 1"),
        ([SQUARE, None], "stroke 1 must be points .* got NoneType None"),
        (["SQUARE"], "stroke 0 must be points .* got str 'SQUARE'"),
        (7, "iterable of strokes"),
        ("M0 0", "iterable of strokes"),
        (np.zeros((3, 4, 5)), "shape"),
        (np.array(5.0), "iterable of strokes"),
        (LineString([(0, 0, 1), (1, 1, 2)]), "has z"),
    ],
)
def test_what_is_no_stroke_is_named_by_stroke_and_point(strokes: object, words: str) -> None:
    with pytest.raises(InvalidValue, match=words):
        Drawing(strokes)


def test_an_array_of_geometries_is_taken_like_a_list_of_them() -> None:
    parts = shapely.get_parts(MultiLineString([[(0, 0), (1, 0)], [(5, 5), (6, 7), (8, 8)]]))
    assert parts.dtype == object
    assert Drawing(parts) == Drawing(list(parts))
    assert len(Drawing(parts[:0])) == 0
    mixed = np.array([Point(1, 2), Drawing([SQUARE], pen=BLUE)], dtype=object)
    assert Drawing(mixed) == Drawing(list(mixed))


@pytest.mark.parametrize("key", [3, -4, [0, 7], [True, False], [[1, 2], [3]], 10**40])
def test_strokes_that_are_not_there_are_named(key: object) -> None:
    with pytest.raises(NoSuchStroke, match="stroke") as error:
        Drawing([SQUARE] * 3)[key]
    assert isinstance(error.value, IndexError)


def test_from_arrays_checks_its_offsets() -> None:
    points = np.zeros((3, 2))
    assert len(Drawing.from_arrays(points, np.array([0, 1, 3]))) == 2
    for offsets in ([0, 2], [0, 0, 3], [1, 3], [], [0, 3, 2, 3]):
        with pytest.raises(InvalidValue, match="offsets"):
            Drawing.from_arrays(points, np.array(offsets, np.int64))


def test_never_shares_memory_with_the_caller() -> None:
    stroke = np.array(SQUARE, np.float64)
    block = stroke[None]
    drawings = Drawing([stroke]), Drawing(block)
    stroke[0] = 99
    for drawing in drawings:
        assert drawing[0][0].tolist() == [0, 0]
        with pytest.raises(ValueError, match="read-only"):
            drawing.points[0] = 5


# ---- an empty drawing is legal everywhere


def test_empty_drawing_survives_everything() -> None:
    empty = Drawing()
    same_again = [
        empty.moved(1, 2), empty.turned(30), empty.scaled(2), empty.mirrored(),
        empty.fitted(Sheet(100, 100)), empty.reversed(), empty.simplified(1), empty.resampled(1),
        empty.clipped(Polygon(SQUARE)), empty.erased(Polygon(SQUARE)), empty.inked(BLUE),
        empty + empty, empty[:], empty[[]], Drawing([]), Drawing(Polygon()), empty.clipped(empty),
    ]  # fmt: skip
    assert all(
        len(drawing) == 0 and drawing.bounds is None and drawing.length == 0
        for drawing in same_again
    )
    assert list(empty) == []
    assert empty.by_pen() == {}
    assert empty.pens == ()
    assert empty.box(margin=1).is_empty
    assert repr(empty) == "<Drawing: empty>"
    assert empty == Drawing([])
    assert empty.to_shapely() == []


# ---- facts and composition


def test_facts() -> None:
    drawing = Drawing([SQUARE, [(1, 2)], [(0, 0), (3, 4)]])
    assert drawing.bounds == (0, 0, 10, 10)
    assert drawing.lengths.tolist() == [40, 0, 5]
    assert drawing.length == 45
    assert len(drawing) == 3


def test_slices_masks_and_lists_choose_strokes_and_their_pens() -> None:
    drawing = Drawing([SQUARE], pen=BLUE) + Drawing([[(1, 2)], [(3, 4)]], pen=RED)
    assert drawing[-1].tolist() == [[3, 4]]
    assert drawing[1:].pens == (RED,)
    assert same(drawing[::-1], [[(3, 4)], [(1, 2)], SQUARE])
    assert drawing[::-1].pens == (RED, BLUE)
    assert drawing[np.array([True, False, True])] == drawing[[0, 2]]
    assert len(drawing[[]]) == 0
    with pytest.raises(IndexError, match="no stroke 3 in a drawing of 3"):
        drawing[3]


def test_sum_composition_and_pens() -> None:
    a = Drawing([SQUARE], pen=BLUE)
    b = Drawing([[(1, 2)]], pen=RED)
    assert a + b == Drawing([a, b]) == sum([a, b])
    assert (a + b).by_pen() == {BLUE: a, RED: b}
    assert (a + b).inked(RED).pens == (RED,)
    with pytest.raises(InvalidValue, match="two different pens are called 'blue'"):
        a + b.inked(Pen("blue", 0.9))
    with pytest.raises(TypeError):
        a.__radd__([SQUARE]) + a  # type: ignore[operator]


def test_a_sum_is_put_together_once_and_cannot_be_told_from_a_drawing() -> None:
    parts = [Drawing([[(k, 0), (k, 9)]], pen=(BLUE, RED)[k % 2]) for k in range(9)]
    total = sum(parts, Drawing())
    before = total + parts[0]
    assert total.pens == (BLUE, RED)
    assert (total, hash(total)) == (Drawing(parts), hash(Drawing(parts)))
    assert len(before) == 10
    assert (total + Drawing()) == total == (Drawing() + total)
    for make in (copy.copy, copy.deepcopy, lambda one: pickle.loads(pickle.dumps(one))):
        assert make(sum(parts)) == total
    with pytest.raises(ValueError, match="read-only"):
        sum(parts).points[0] = 5
    with pytest.raises(AttributeError, match="no attribute 'colour'"):
        _ = sum(parts).colour
    nested = (parts[0] + (parts[1] + parts[2])) + (parts[3] + parts[4])
    assert nested == Drawing(parts[:5])


def test_a_sum_of_very_many_drawings_works_and_goes() -> None:
    one = Drawing([[(0, 0), (1, 0)]], pen=BLUE)
    total = sum([one] * 100_000)
    assert len(total) == 100_000
    del total
    never_asked = sum([one] * 100_000)
    del never_asked


def test_a_pen_must_be_a_pen() -> None:
    for make in (lambda: Drawing([SQUARE], pen="blue"), lambda: Drawing([SQUARE]).inked("blue")):  # type: ignore[arg-type]
        with pytest.raises(InvalidValue, match="pen must be a Pen"):
            make()


def test_equality_and_hash_are_of_the_value() -> None:
    a = Drawing([SQUARE], pen=BLUE)
    b = Drawing([np.array(SQUARE)], pen=Pen("blue", 0.4, "#1D4E89", 2_500))
    assert a == b
    assert hash(a) == hash(b)
    assert a != a.moved(1, 0)
    assert a != SQUARE


# ---- placing


def test_quarter_turns_and_mirrors_are_exact() -> None:
    drawing = Drawing([[(0.1, 0.2), (0.3, 0.7)]])
    assert same(drawing.turned(90), [[(-0.2, 0.1), (-0.7, 0.3)]])
    assert drawing.turned(90).turned(90).turned(180) == drawing
    assert drawing.turned(-450) == drawing.turned(270)
    assert same(drawing.mirrored(), [[(-0.1, 0.2), (-0.3, 0.7)]])
    assert same(drawing.mirrored(0), [[(0.1, -0.2), (0.3, -0.7)]])
    assert same(drawing.mirrored(45), [[(0.2, 0.1), (0.7, 0.3)]])


def test_turns_scales_and_affine_maps_agree_with_shapely() -> None:
    drawing = Drawing([[(1, 2), (3, 5), (-4, 0.5)]])
    line = drawing.to_shapely()[0]
    pairs = [
        (drawing.turned(33, about=(2, 1)), shapely.affinity.rotate(line, 33, origin=(2, 1))),
        (drawing.scaled(2, -3, about=(1, 1)), shapely.affinity.scale(line, 2, -3, origin=(1, 1))),
        (
            drawing.transformed([[1, 2, 3], [4, 5, 6]]),
            shapely.affinity.affine_transform(line, [1, 2, 4, 5, 3, 6]),
        ),
    ]
    for ours, theirs in pairs:
        np.testing.assert_allclose(ours.points, shapely.get_coordinates(theirs), atol=1e-12)


@pytest.mark.parametrize(
    "matrix", [[[1, 0], [0, 1]], [[1, 0, np.inf], [0, 1, 0]], [[1, 0, 0], [0, 1, 0], [1, 0, 1]]]
)
def test_matrices_that_are_not_affine_are_refused(matrix: object) -> None:
    with pytest.raises(InvalidValue, match="affine matrix"):
        Drawing([SQUARE]).transformed(matrix)  # type: ignore[arg-type]


def test_numbers_that_overflow_are_refused() -> None:
    with pytest.raises(InvalidValue, match=r"x must be from .* got 1e\+300"):
        Drawing([SQUARE]).scaled(1e300)
    with pytest.raises(InvalidValue, match="stroke 0, point 1 is beyond"):
        Drawing([SQUARE]).scaled(1e6).scaled(1e6)
    with pytest.raises(InvalidValue, match="dx must be a finite number"):
        Drawing([SQUARE]).moved(float("nan"), 0)


def test_fitted_touches_the_area_and_never_passes_it() -> None:
    drawing = Drawing([[(0.1, 0.1), (0.4, 0.7), (0.3, 0.2)]])
    for width in (215.9, 133.33, 1e-3, 7e5):
        fitted = drawing.fitted(shapely.box(0.1, 0.7, 0.1 + width, 0.7 + 3 * width))
        left, bottom, right, top = fitted.bounds or (0, 0, 0, 0)
        assert (left, right) == pytest.approx((0.1, 0.1 + width), abs=1e-12 * (1 + width))
        assert left >= 0.1
        assert right <= 0.1 + width
        assert (top - bottom) / (right - left) == pytest.approx(2)
        assert (top + bottom) / 2 == pytest.approx(0.7 + 1.5 * width)
    dot = Drawing([[(5, 5)]]).fitted(Sheet(100, 60))
    assert same(dot, [[(50, 30)]])
    flat = Drawing([[(0, 5), (1, 5)]]).fitted(Sheet(100, 60, margin=10))
    assert flat.bounds == (10, 30, 90, 30)
    with pytest.raises(InvalidValue, match="empty area"):
        drawing.fitted(Polygon())


# ---- changed strokes


def test_reversed_draws_everything_backwards() -> None:
    drawing = Drawing([[(0, 0), (1, 0)]], pen=BLUE) + Drawing(
        [[(5, 5)], [(2, 2), (3, 3), (4, 2)]], pen=RED
    )
    assert same(drawing.reversed(), [[(4, 2), (3, 3), (2, 2)], [(5, 5)], [(1, 0), (0, 0)]])
    assert drawing.reversed().reversed() == drawing


def test_clipped_and_erased_keep_pens() -> None:
    drawing = Drawing([[(0, 0), (10, 0)]], pen=BLUE) + Drawing([[(0, 1), (10, 1)]], pen=RED)
    window = shapely.box(4, -5, 6, 5)
    assert same(drawing.clipped(window), [[(4, 0), (6, 0)], [(4, 1), (6, 1)]])
    assert drawing.clipped(window).pens == (BLUE, RED)
    assert drawing.erased(window).length == pytest.approx(16)
    assert drawing.clipped(Sheet(8, 8, margin=1)).length == pytest.approx(6)
    assert drawing.clipped(
        Drawing([[(2, -1), (4, -1), (4, 1), (2, 1), (2, -1)]])
    ).length == pytest.approx(4)


def test_box_is_an_area_around_the_drawing() -> None:
    assert Drawing([SQUARE]).box(margin=1).bounds == (-1, -1, 11, 11)


def test_repr_tells_the_facts() -> None:
    assert (
        repr(Drawing([SQUARE], pen=BLUE))
        == "<Drawing: 1 stroke, 40.0 mm, x 0 to 10, y 0 to 10, pens: blue>"
    )


# ---- values that nobody can change, and wrong values


def test_from_arrays_neither_shares_nor_locks_the_caller_s_arrays() -> None:
    points = np.array([[1.0, 2], [3, 4], [5, 6]])
    offsets = np.array([0, 3])
    whole = Drawing.from_arrays(points, offsets)
    part = Drawing.from_arrays(points[:2], np.array([0, 2]))
    points[0] = 99
    offsets[1] = 7
    assert same(whole, [[(1, 2), (3, 4), (5, 6)]])
    assert same(part, [[(1, 2), (3, 4)]])


def test_copies_are_read_only_too() -> None:
    drawing = Drawing([SQUARE, [(1, 1)]], pen=BLUE)
    for twin in (pickle.loads(pickle.dumps(drawing)), copy.deepcopy(drawing), copy.copy(drawing)):
        assert twin == drawing
        with pytest.raises(ValueError, match="read-only"):
            twin.points[0] = 5
        with pytest.raises(ValueError, match="read-only"):
            twin.offsets[0] = 5


@pytest.mark.parametrize(
    "key",
    [
        [True],
        [0.5],
        "a",
        None,
        [[0, 1]],
        (0, 1.5),
        [7],
        [-9],
        np.array(["x"]),
        slice(None, None, 0),
    ],
)
def test_what_is_no_choice_of_strokes_is_told_so(key: object) -> None:
    with pytest.raises((InvalidValue, IndexError), match="strokes"):
        Drawing([SQUARE, [(1, 1)]])[key]  # type: ignore[index]


@pytest.mark.parametrize("matrix", ["x", [[1, 2], [3]], None, [[1, 0, 0], [0, 1, "a"]]])
def test_what_is_no_matrix_is_told_so(matrix: object) -> None:
    with pytest.raises(InvalidValue, match="affine matrix"):
        Drawing([SQUARE]).transformed(matrix)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("points", "offsets"),
    [("a", [0, 1]), ([[0, 0], [1, 1]], [0.5, 2]), ([[0, 0], [1, 1]], "b"), ([[1j, 0]], [0, 1])],
)
def test_what_are_no_ragged_arrays_is_told_so(points: object, offsets: object) -> None:
    with pytest.raises(InvalidValue):
        Drawing.from_arrays(points, offsets)  # type: ignore[arg-type]


def test_box_never_turns_inside_out() -> None:
    square = Drawing([SQUARE])
    assert square.box(margin=-2).bounds == (2, 2, 8, 8)
    assert square.box(margin=-5).area == 0
    assert square.box(margin=-8).is_empty
    assert square.box(margin=-10).is_empty


def test_a_drawing_of_next_to_no_extent_is_fitted_or_told_so() -> None:
    speck = Drawing([[(0, 0), (1e-320, 0)]]).fitted(shapely.box(0, 0, 200, 100))
    assert speck.bounds == (100, 50, 100, 50)
