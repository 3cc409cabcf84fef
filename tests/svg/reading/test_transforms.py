"""Transforms and viewports: values of W3C, *Scalable Vector Graphics (SVG) 2*, chapter Coordinate
Systems (lists, "Computing the equivalent transform of an SVG viewport", units), worked by hand.
"""

from __future__ import annotations

import numpy as np
import pytest

from plotlib.errors import SvgError
from plotlib.svg.reading.document import Node
from plotlib.svg.reading.lengths import Scope, length, resolved
from plotlib.svg.reading.transforms import apply, inverse, times, transform_list
from plotlib.svg.reading.viewports import Box, fitted, page_of


@pytest.mark.parametrize(
    ("text", "place", "matrix"),
    [
        ("translate(10,20) scale(2)", (12, 24), (2, 0, 0, 2, 10, 20)),
        ("scale(2) translate(10,20)", (22, 44), (2, 0, 0, 2, 20, 40)),
        ("rotate(90)", (-2, 1), (0, 1, -1, 0, 0, 0)),
        ("rotate(90,10,10)", (18, 1), (0, 1, -1, 0, 20, 0)),
        (
            "translate(10,20) rotate(30) scale(2,3)",
            (8.73205081, 26.19615242),
            (1.73205081, 1, -1.5, 2.59807621, 10, 20),
        ),
        ("skewX(45)", (3, 2), (1, 0, 1, 1, 0, 0)),
        ("skewY(45)", (1, 3), (1, 1, 0, 1, 0, 0)),
        ("matrix(1 2 3 4 5 6)", (12, 16), (1, 2, 3, 4, 5, 6)),
        ("translate(5)", (6, 2), (1, 0, 0, 1, 5, 0)),
        ("scale(2 3)", (2, 6), (2, 0, 0, 3, 0, 0)),
        ("translate(1,1),rotate(.25turn)", (-1, 2), (0, 1, -1, 0, 1, 1)),
        ("rotate(90deg) translateX(4px) scaleY(-1)", (2, 5), (0, 1, 1, 0, 0, 4)),
        ("", (1, 2), (1, 0, 0, 1, 0, 0)),
        ("none", (1, 2), (1, 0, 0, 1, 0, 0)),
    ],
)
def test_lists_act_from_right_to_left(
    text: str, place: tuple[float, float], matrix: tuple[float, ...]
) -> None:
    found = transform_list(text)
    assert found is not None
    assert found == pytest.approx(matrix, abs=1e-8)
    assert apply(found, np.array([1.0, 2.0])) == pytest.approx(place, abs=1e-8)
    assert times(found, inverse(found)) == pytest.approx((1, 0, 0, 1, 0, 0), abs=1e-12)


@pytest.mark.parametrize(
    "text", ["rotate(1,2)", "matrix(1 2 3)", "turn(3)", "scale(2", "scale(a)", "scale(2) x", "("]
)
def test_lists_that_break_the_grammar(text: str) -> None:
    assert transform_list(text) is None


@pytest.mark.parametrize(
    ("viewport", "box", "aspect", "wanted"),
    [
        ((200, 100), (0, 0, 50, 50), "", (50, 0, 2, 2)),
        ((200, 100), (0, 0, 50, 50), "xMinYMin meet", (0, 0, 2, 2)),
        ((200, 100), (0, 0, 50, 50), "xMaxYMax meet", (100, 0, 2, 2)),
        ((200, 100), (0, 0, 50, 50), "xMidYMid slice", (0, -50, 4, 4)),
        ((200, 100), (0, 0, 50, 50), "none", (0, 0, 4, 2)),
        ((210, 297), (0, 0, 100, 100), "", (0, 43.5, 2.1, 2.1)),
        ((100, 100), (10, 20, 100, 200), "", (20, -10, 0.5, 0.5)),
        ((300, 200), (0, 0, 1500, 1000), "none", (0, 0, 0.2, 0.2)),
        ((150, 200), (0, 0, 1500, 1000), "none", (0, 0, 0.1, 0.2)),
    ],
)
def test_view_boxes(
    viewport: tuple[float, float],
    box: tuple[float, float, float, float],
    aspect: str,
    wanted: tuple[float, ...],
) -> None:
    a, b, c, d, e, f = fitted(Box(*box), *viewport, aspect)
    assert (e, f, a, d) == pytest.approx(wanted)
    assert (b, c) == (0, 0)


@pytest.mark.parametrize(
    ("text", "px"),
    [
        ("1in", 96),
        ("1mm", 3.7795275590551185),
        ("1cm", 37.79527559),
        ("1pt", 1.33333333),
        ("1pc", 16),
        ("1Q", 0.94488189),
        ("210mm", 793.7007874),
        ("297mm", 1122.519685),
        ("2", 2),
        ("2px", 2),
        ("1.5em", 30),
        ("1ex", 10),
        ("1ch", 10),
        ("2rem", 32),
        ("1ic", 20),
        ("10%", 40),
        ("5vw", 10),
        ("5vh", 5),
        ("5vmin", 5),
        ("5vmax", 10),
        ("1e1px", 10),
        ("2E1", 20),
    ],
)
def test_units(text: str, px: float) -> None:
    scope = Scope(400, 300, font=20, root_font=16, page_width=200, page_height=100)
    found = length(text)
    assert found is not None
    assert resolved(found, scope, "width") == pytest.approx(px, rel=1e-8)


def test_percentages_of_neither_side_are_of_the_diagonal() -> None:
    """SVG 2, chapter Coordinates, "Units": the root of (w² + h²) / 2."""
    found = length("10%")
    assert found is not None
    assert resolved(found, Scope(300, 400), "diagonal") == pytest.approx(35.35533906)


@pytest.mark.parametrize("text", ["", "a", "3 4", "3furlong", "--3", "3e", "1e5e"])
def test_texts_that_are_no_length(text: str) -> None:
    assert length(text) is None


def root(**given: str) -> Node:
    return Node("svg", given, 1, None)


@pytest.mark.parametrize(
    ("given", "wanted"),
    [
        ({"width": "100"}, None),
        ({"width": "100", "height": "96"}, (26.458333, 25.4)),
        ({"width": "210mm", "height": "297mm"}, (210, 297)),
        ({"width": "360pt", "height": "1pc"}, (127, 4.233333333)),
        ({"width": "210mm", "viewBox": "0 0 100 50"}, (210, 105)),
        ({"height": "50mm", "viewBox": "0 0 100 50"}, (100, 50)),
        ({"width": "100%", "height": "100%", "viewBox": "0 0 96 96"}, None),
        ({"width": "0", "height": "0"}, None),
        ({"width": "-5mm", "height": "5mm"}, None),
        ({"width": "1e30mm", "height": "5mm"}, None),
        ({}, None),
    ],
)
def test_the_size_of_the_page(given: dict[str, str], wanted: tuple[float, float] | None) -> None:
    if wanted is None:
        with pytest.raises(SvgError, match=r"pass size=\(width, height\)"):
            page_of(root(**given), None)
        return
    page = page_of(root(**given), None)
    assert (page.width, page.height) == pytest.approx(wanted)


def test_the_error_says_which_size_would_answer_it() -> None:
    with pytest.raises(SvgError, match=r"such as size=\(25\.4, 50\.8\)"):
        page_of(root(viewBox="0 0 96 192", width="100%"), None)


def test_a_size_of_the_caller_scales_what_the_file_shows() -> None:
    page = page_of(root(width="96", height="192"), (50.8, 101.6))
    assert apply(page.matrix, np.array([96.0, 192.0])) == pytest.approx((50.8, 0))
    page = page_of(root(), (50.8, 101.6))
    assert apply(page.matrix, np.array([96.0, 0.0])) == pytest.approx((25.4, 101.6))
    page = page_of(root(viewBox="0 0 10 20"), (50, 100))
    assert apply(page.matrix, np.array([1.0, 1.0])) == pytest.approx((5, 95))
