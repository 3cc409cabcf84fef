import math

import numpy as np
import pytest

from plotlib.curves import lsystem
from plotlib.errors import InvalidValue
from plotlib.pen import Pen


def turtle(text, angle, heading=90.0):
    """The slow, obvious turtle: segments in order, each a pair of complex numbers."""
    here = 0j
    way = heading
    stack = []
    segments = []
    for symbol in text:
        there = here + complex(math.cos(math.radians(way)), math.sin(math.radians(way)))
        if symbol == "F":
            segments.append((here, there))
        if symbol in "Ff":
            here = there
        way += {"+": angle, "-": -angle, "|": 180.0}.get(symbol, 0.0)
        if symbol == "[":
            stack.append((here, way))
        if symbol == "]":
            here, way = stack.pop()
    return np.array(segments).reshape(-1, 2)


def segments(drawing):
    parts = [
        np.stack([stroke[:-1], stroke[1:]], axis=1).view(complex)[..., 0] for stroke in drawing
    ]
    return np.concatenate([np.empty((0, 2)), *parts])


def random_text(rng):
    text = ""
    level = 0
    for _ in range(rng.integers(0, 120)):
        symbol = rng.choice(list("FFFf+-|[]x"))
        level += {"[": 1, "]": -1}.get(symbol, 0)
        text += symbol if level >= 0 else ""
        level = max(level, 0)
    return text


@pytest.mark.parametrize(
    "angle", [90, 60, 36, 22.5, -45, 25.7, 137.50776405003785, 720, 1e-5, 1e16]
)
def test_the_turtle_equals_the_slow_one(angle):
    rng = np.random.default_rng(abs(int(angle * 8)) % 2**32)
    for _ in range(40):
        text = random_text(rng)
        drawing = lsystem(text, {}, depth=0, angle=angle)
        np.testing.assert_allclose(segments(drawing), turtle(text, angle % 360), atol=1e-9)


def test_strokes_break_only_where_the_pen_is_elsewhere():
    assert len(lsystem("FF+F-F", {}, depth=0, angle=90)) == 1
    assert len(lsystem("FfF", {}, depth=0, angle=90)) == 2
    assert len(lsystem("F[+F]F", {}, depth=0, angle=90)) == 2
    assert len(lsystem("F[+]F", {}, depth=0, angle=90)) == 1
    assert len(lsystem("F[|F|F]F", {}, depth=0, angle=90)) == 1
    assert len(lsystem("ff+f", {}, depth=0, angle=90)) == 0
    assert len(lsystem("", {}, depth=0, angle=90)) == 0


def test_heading_step_start_and_pen():
    pen = Pen("green")
    drawing = lsystem("F+F", {}, depth=0, angle=90, step=5, start=(10, 20), heading=0, pen=pen)
    assert drawing[0].tolist() == [[10, 20], [15, 20], [15, 25]]
    assert drawing.pens == (pen,)
    assert lsystem("F", {}, depth=0, angle=90)[0].tolist() == [[0, 0], [0, 1]]


def test_other_letters_can_draw_and_move():
    drawing = lsystem("AgB", {}, depth=0, angle=90, draw="AB", move="g", heading=0)
    assert [stroke.tolist() for stroke in drawing] == [[[0, 0], [1, 0]], [[2, 0], [3, 0]]]


@pytest.mark.parametrize(
    ("axiom", "rule", "angle", "depth"),
    [
        ("F++F++F++F++F", "F++F++F|F-F++F", 36, 3),
        ("F--F--F", "F+F--F+F", 60, 5),
        ("F+F+F+F+F+F+F+F", "F-F++F-F", 45, 3),
        ("F-F-F-F", "FF-F+F-F-FF", 90, 4),
    ],
)
def test_closed_figures_close_bit_for_bit(axiom, rule, angle, depth):
    drawing = lsystem(
        axiom, {"F": rule}, depth=depth, angle=angle, step=0.37, start=(0.1, 0.2), heading=13
    )
    assert len(drawing) == 1
    assert drawing.is_closed.all()


def test_branches_return_bit_for_bit_at_any_angle():
    drawing = lsystem("F", {"F": "F[+F]F[-F]F"}, depth=4, angle=25.7)
    ends = {tuple(point) for point in drawing.points.tolist()}
    assert all(
        tuple(stroke[0].tolist()) in ends - {tuple(stroke[1].tolist())} for stroke in drawing
    )
    assert len(np.unique(drawing.points, axis=0)) == len(
        np.unique(np.round(drawing.points, 6), axis=0)
    )


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ({"axiom": "F]F"}, "not opened"),
        ({"rules": {"F": "F]"}, "depth": 1}, "not opened"),
        ({"rules": {"FF": "F"}}, "one symbol"),
        ({"rules": {"F": 3}}, "one symbol"),
        ({"rules": "F"}, "mapping"),
        ({"axiom": 5}, "axiom"),
        ({"depth": -1}, "depth"),
        ({"depth": 1.5}, "depth"),
        ({"angle": math.nan}, "angle"),
        ({"step": 0}, "step"),
        ({"draw": "F["}, r"\["),
        ({"move": "F"}, "already have a meaning"),
        ({"start": (0, math.inf)}, "start"),
    ],
)
def test_what_cannot_be_drawn_is_refused(arguments, message):
    with pytest.raises(InvalidValue, match=message):
        lsystem(**({"axiom": "F", "rules": {}, "depth": 0, "angle": 90} | arguments))
