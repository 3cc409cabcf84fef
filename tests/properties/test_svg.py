"""Laws of SVG: what is written is read as it was; trees of groups, uses and transforms show the
same as their geometry moved by hand.
"""

from __future__ import annotations

import math
import warnings

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from plotlib.arrays.ragged import without_repeats
from plotlib.drawing import Drawing
from plotlib.errors import SvgError
from plotlib.pen import Pen
from plotlib.svg import read, write

SIMPLEX = "roman simplex"
PAGE = shapely.box(-300, -300, 300, 300)
PENS = (
    Pen("blue", width=0.35, colour="#1d4e89"),
    Pen(' röd <&> "2"  ', width=1 / 3, colour="#b02a1e"),
    Pen("blue 2", width=0.35, colour="#1d4e89"),
    Pen("fein", width=0.05, colour="#b02a1e"),
)


@st.composite
def drawings(draw: st.DrawFn) -> Drawing:
    """Strokes, rings and dots on pens in any order."""
    numbers = st.floats(-200, 200)
    parts = []
    for _ in range(draw(st.integers(0, 6))):
        points = draw(st.lists(st.tuples(numbers, numbers), min_size=1, max_size=6))
        if draw(st.booleans()):
            points = [*points, points[0]]
        parts.append(Drawing([points], pen=draw(st.sampled_from(PENS))))
    return Drawing(parts)


@settings(max_examples=60, deadline=None)
@given(drawings(), st.integers(0, 6))
@example(Drawing([[(0, 0.35)]], pen=PENS[0]), 1)  # half a unit
def test_a_drawing_survives_writing_and_reading(
    tmp_path_factory: pytest.TempPathFactory, drawing: Drawing, decimals: int
) -> None:
    path = tmp_path_factory.getbasetemp() / "round_trip.svg"
    write(drawing, path, page=PAGE, decimals=decimals)
    art = read(path, strict=True)
    found = art.drawing.moved(-300, -300)
    assert art.size == (600, 600)
    assert found.pens == drawing.pens
    assert found.pen_index.tolist() == drawing.pen_index.tolist()
    scale = 10**decimals  # units of the last decimal in a mm, to which points are rounded
    points, offsets = without_repeats(np.rint(drawing.points * scale), drawing.offsets)
    assert found.offsets.tolist() == offsets.tolist()
    np.testing.assert_allclose(found.points, points / scale, rtol=0, atol=1e-9)


@settings(max_examples=20, deadline=None)
@given(drawings())
def test_what_was_read_is_written_as_it_was(
    tmp_path_factory: pytest.TempPathFactory, drawing: Drawing
) -> None:
    folder = tmp_path_factory.getbasetemp()
    write(drawing, folder / "one.svg", page=PAGE)
    again = read(folder / "one.svg").drawing.moved(-300, -300)
    write(again, folder / "two.svg", page=PAGE)
    assert (folder / "one.svg").read_bytes() == (folder / "two.svg").read_bytes()


Matrix = np.ndarray
SHAPES = (
    ('<path d="M0 0L3 4 6 0"/>', [(0, 0), (3, 4), (6, 0)]),
    ('<path d="m2 1v3h-1"/>', [(2, 1), (2, 4), (1, 4)]),
    ('<rect x="1" y="2" width="3" height="1"/>', [(1, 2), (4, 2), (4, 3), (1, 3), (1, 2)]),
    ('<line x1="5" y1="1" y2="2"/>', [(5, 1), (0, 2)]),
    ('<polygon points="0,0 2,0 1,3"/>', [(0, 0), (2, 0), (1, 3), (0, 0)]),
)


def shift(x: float, y: float) -> Matrix:
    return np.array([[1, 0, x], [0, 1, y], [0, 0, 1.0]])


def turn(angle: float) -> Matrix:
    c = math.cos(math.radians(angle))
    s = math.sin(math.radians(angle))
    return np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])


def spread(x: float, y: float) -> Matrix:
    return np.diag([x, y, 1.0])


def slant(angle: float) -> Matrix:
    return np.array([[1, math.tan(math.radians(angle)), 0], [0, 1, 0], [0, 0, 1]])


small = st.integers(-9, 9)
factors = st.sampled_from([-2, -0.5, 0.25, 1.5, 3])
steps = st.one_of(
    st.tuples(st.just("translate"), small, small),
    st.tuples(st.just("rotate"), st.integers(-180, 180)),
    st.tuples(st.just("rotate"), st.integers(-180, 180), small, small),
    st.tuples(st.just("scale"), factors, factors),
    st.tuples(st.just("scale"), factors),
    st.tuples(st.just("skewX"), st.integers(-60, 60)),
)


def as_matrix(name: str, *numbers: float) -> Matrix:
    if name == "translate":
        return shift(*numbers)
    if name == "scale":
        return spread(numbers[0], numbers[-1])
    if name == "skewX":
        return slant(*numbers)
    angle, *about = numbers
    if not about:
        return turn(angle)
    x, y = about
    return shift(x, y) @ turn(angle) @ shift(-x, -y)


@st.composite
def transforms(draw: st.DrawFn) -> tuple[str, Matrix]:
    """An attribute and the same map as a matrix."""
    chosen = draw(st.lists(steps, max_size=3))
    whole = np.eye(3)
    for name, *numbers in chosen:
        whole = whole @ as_matrix(name, *numbers)
    text = " ".join(f"{name}({','.join(map(str, numbers))})" for name, *numbers in chosen)
    return (f' transform="{text}"' if text else ""), whole


class Tree:
    """Markup with ids, and the strokes that it shows, in its own units."""

    def __init__(self, text: str, strokes: list[np.ndarray]) -> None:
        self.text = text
        self.strokes = strokes


def moved(strokes: list[np.ndarray], matrix: Matrix) -> list[np.ndarray]:
    return [stroke @ matrix[:2, :2].T + matrix[:2, 2] for stroke in strokes]


@st.composite
def trees(draw: st.DrawFn) -> Tree:
    """Definitions that use earlier ones, in groups, nested viewports and symbols."""
    text = ""
    known: list[tuple[str, list[np.ndarray]]] = []
    for number in range(draw(st.integers(1, 6))):
        attribute, matrix = draw(transforms())
        parts = ""
        inner: list[np.ndarray] = []
        for _ in range(draw(st.integers(1, 3))):
            kind = draw(st.sampled_from(["shape", "use", "svg"]))
            if kind == "use" and known:
                name, strokes = draw(st.sampled_from(known))
                look, map_ = draw(transforms())
                x, y = draw(st.tuples(small, small))
                parts += f'<use href="#{name}" x="{x}" y="{y}"{look}/>'
                inner += moved(strokes, map_ @ shift(x, y))
                continue
            markup, corners = draw(st.sampled_from(SHAPES))
            strokes = [np.array(corners, float)]
            if kind == "svg":
                x, y = draw(st.tuples(small, small))
                markup = (
                    f'<svg x="{x}" y="{y}" width="20" height="30" viewBox="1 2 10 10" '
                    f'overflow="visible" preserveAspectRatio="xMaxYMid">{markup}</svg>'
                )
                strokes = moved(strokes, shift(x, y + 5) @ spread(2, 2) @ shift(-1, -2))
            parts += markup
            inner += strokes
        text += f'<g id="d{number}"{attribute}>{parts}</g>'
        known.append((f"d{number}", moved(inner, matrix)))
    last, strokes = known[-1]
    return Tree(f'<defs>{text}</defs><use href="#{last}"/>', strokes)


@settings(max_examples=60, deadline=None)
@given(trees())
def test_a_tree_shows_its_geometry_moved_by_hand(tree: Tree) -> None:
    head = '<svg width="100mm" height="100mm" viewBox="0 0 100 100" fill="none" stroke="red">'
    found = read(f"{head}{tree.text}</svg>", strict=True).drawing
    assert len(found) == len(tree.strokes)
    for stroke, wanted in zip(found, tree.strokes, strict=True):
        size = 1 + np.abs(wanted).max()
        np.testing.assert_allclose(stroke, wanted * (1, -1) + (0, 100), atol=1e-11 * size)


WILD = st.sampled_from(
    [
        "0",
        "-1",
        "1e999",
        "-1e30",
        "1e-300",
        "NaN",
        "50%",
        "3em",
        "1e12",
        "none",
        "inherit",
        "initial",
        "auto",
        "url(#c)",
        "url(#x)",
        "currentColor",
        "rotate(1e999)",
        "scale(0)",
        "matrix(1e9,0,0,1e9,0,0)",
        "translate(1e12)",
        "fill-box",
        "M0,0Z",
        "M0,0A1,1,0,1,1,9,9",
        "0,0,9,9",
        "0,0,1e999,1",
        "round",
        "square",
        "evenodd",
        "visible",
        "red",
        "#12",
        "rgb(1,2)",
        "hidden",
        "1,2,1e-9",
        "xMinYMax",
    ]
)
NAMES = st.sampled_from(
    [
        "x",
        "y",
        "width",
        "height",
        "r",
        "rx",
        "cx",
        "x2",
        "d",
        "points",
        "viewBox",
        "preserveAspectRatio",
        "transform",
        "transform-origin",
        "transform-box",
        "clip-path",
        "clipPathUnits",
        "fill",
        "stroke",
        "stroke-width",
        "stroke-dasharray",
        "pathLength",
        "stroke-dashoffset",
        "stroke-linecap",
        "fill-rule",
        "overflow",
        "opacity",
        "vector-effect",
        "font-size",
        "dx",
    ]
)
TAGS = st.sampled_from(
    ["rect", "circle", "ellipse", "line", "polygon", "path", "g", "svg", "use", "text", "clipPath"]
)


@st.composite
def wild(draw: st.DrawFn) -> str:
    """Elements with attributes that make no sense."""
    text = ""
    for _ in range(draw(st.integers(1, 4))):
        tag = draw(TAGS)
        given_ = draw(st.dictionaries(NAMES, WILD, max_size=5))
        look = " ".join(f'{name}="{value}"' for name, value in given_.items())
        inner = '<path d="M1 1H30V20z" stroke="red"/>' if tag in ("g", "svg") else "Sk"
        identity = ' id="c"' if tag == "clipPath" else ""
        body = '<rect width="20" height="9"/>' if tag == "clipPath" else inner
        href = ' href="#u"' if tag == "use" else ""
        text += f"<{tag}{identity}{href} {look}>{body}</{tag}>"
    return f'<svg width="40mm" height="40mm"><rect id="u" width="9" height="9"/>{text}</svg>'


@settings(max_examples=100, deadline=None)
@given(wild(), st.booleans(), st.sampled_from(["centre", "outline"]))
@example('<svg width="9mm" height="9mm"><svg width="1e999">hm</svg></svg>', False, "centre")
@example(
    '<svg width="9mm" height="9mm"><clipPath id="c"><rect width="1e999" height="9"/></clipPath>'
    '<rect width="5" height="5" clip-path="url(#c)"/></svg>',
    True,
    "outline",
)
@example('<svg width="9mm" height="9mm"><rect transform="scale(1e999)"/></svg>', False, "centre")
@example('<svg width="9mm" height="9mm"><text font-size="1e12">Sk</text></svg>', False, "centre")
@example(
    '<svg width="9mm" height="9mm"><path d="M1 1H5V3z" stroke="red" stroke-width="1e-300"/></svg>',
    False,
    "outline",
)
def test_values_that_make_no_sense_are_read_or_listed(text: str, hide: bool, strokes: str) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            art = read(
                text, hide=hide, strokes=strokes, fills="outline", fonts=SIMPLEX, budget=20_000
            )
        except SvgError:
            return
    assert np.isfinite(art.drawing.points).all()
    assert all(area.region.is_valid for area in art.areas)
