"""Reading SVG: places, ink, areas, and what is left out."""

from __future__ import annotations

import gzip
import math
import warnings
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from plotlib import progress
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, NotRead, SvgError, UnknownName
from plotlib.fills import hatch
from plotlib.pen import Pen
from plotlib.svg import Artwork, Ink, SvgWarning, read

SPACE = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
HEAD = f'<svg {SPACE} width="100mm" height="100mm" viewBox="0 0 100 100">'


def art(body: str, **options: Any) -> Artwork:
    """A document of 100 x 100 mm, in mm; nothing may be left out."""
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="nothing is stroked")
        options = {"strict": True, **options}
        return read(f'{HEAD}<g fill="none" stroke="#000">{body}</g></svg>', **options)


def down(drawing: Drawing) -> list[list[tuple[float, float]]]:
    """The strokes with y down, as the file has them."""
    return [[(x, 100 - y) for x, y in stroke.round(9).tolist()] for stroke in drawing]


def lines(body: str, **options: Any) -> list[list[tuple[float, float]]]:
    return down(art(body, **options).drawing)


LINE = '<path d="M1 2H3"/>'


@pytest.mark.parametrize(
    ("body", "wanted"),
    [
        (LINE, [[(1, 2), (3, 2)]]),
        ('<rect x="1" y="2" width="3" height="4"/>', [[(1, 2), (4, 2), (4, 6), (1, 6), (1, 2)]]),
        ('<line x1="1" y1="2" x2="5%" y2="6"/>', [[(1, 2), (5, 6)]]),
        ('<polyline points="1,2 3,4 5,2"/>', [[(1, 2), (3, 4), (5, 2)]]),
        ('<polygon points="1,2 3,4 5,2"/>', [[(1, 2), (3, 4), (5, 2), (1, 2)]]),
        ('<path d="M5 5L5 5M6 6Z" stroke-linecap="round"/>', [[(5, 5)], [(6, 6)]]),
        ('<path d="M5 5L5 5M6 6Z" stroke-linecap="square"/>', [[(5, 5)], [(6, 6)]]),
        ('<path d="M5 5L5 5M6 6Z"/>', []),
        (f'<g transform="translate(10 20)">{LINE}</g>', [[(11, 22), (13, 22)]]),
        (f'<a><g><g transform="scale(2)">{LINE}</g></g></a>', [[(2, 4), (6, 4)]]),
        (f'<svg x="10" y="20" width="50" height="40">{LINE}</svg>', [[(11, 22), (13, 22)]]),
        (
            f'<svg x="10" y="20" width="50" height="50" viewBox="0 0 10 10">{LINE}</svg>',
            [[(15, 30), (25, 30)]],
        ),
        (f'<defs>{LINE}</defs><symbol id="s">{LINE}</symbol>', []),
        (f'<g style="display:none">{LINE}</g>', []),
        (
            f'<g visibility="hidden">{LINE}<path d="M0 0H1" visibility="visible"/></g>',
            [[(0, 0), (1, 0)]],
        ),
        ('<path d="M0 0H1" visibility="collapse"/>', []),
        ('<path d="M0 0H1" opacity="0"/>', []),
        ('<path d="M0 0H1" stroke="none"/>', []),
        ('<path d="M0 0H1" stroke-width="0"/>', []),
        ('<path d="M0 0H1" stroke-opacity="0"/>', []),
        ('<path d="M0 0H1" stroke="transparent"/>', []),
        ('<path d="M0 0H1" transform="scale(0)"/>', []),
    ],
)
def test_shapes_in_their_places(body: str, wanted: list[Any]) -> None:
    assert lines(body) == wanted


@pytest.mark.parametrize(
    ("body", "wanted"),
    [
        ('<use href="#l" x="10" y="20" transform="scale(2)"/>', [[(22, 44), (26, 44)]]),
        ('<use xlink:href="#l" x="10"/>', [[(11, 2), (13, 2)]]),
        ('<use href="#l" xlink:href="#other"/>', [[(1, 2), (3, 2)]]),
        ('<use href="#g" y="1"/>', [[(6, 8), (8, 8)]]),
        ('<use href="#u" x="1"/>', [[(9, 7), (11, 7)]]),
        ('<use href="#s" width="50" height="50" x="10"/>', [[(15, 10), (25, 10)]]),
        ('<use href="#s"/>', [[(10, 20), (30, 20)]]),  # 100 % of the viewport
        ('<use href="#v" width="40"/>', [[(4, 9), (12, 9)]]),  # of 40 x 10, in the middle
    ],
)
def test_use_and_symbols(body: str, wanted: list[Any]) -> None:
    """SVG 2, chapter Structure, "The use element": x and y move what is used, inside of its
    transform; width and height count for symbol and svg.
    """
    kept = (
        '<defs><path id="l" d="M1 2H3"/><g id="g" transform="translate(5 5)">'
        '<use href="#l"/></g><g id="u"><use href="#g" x="1" y="-1" transform="translate(1 1)"/></g>'
        '<symbol id="s" viewBox="0 0 10 10"><path d="M1 2H3"/></symbol>'
        '<svg id="v" width="10" height="10" viewBox="0 0 10 5" overflow="visible"'
        ' preserveAspectRatio="none"><path d="M1 4.5H3"/></svg></defs>'
    )
    assert lines(kept + body) == wanted


def test_symbols_are_cut_to_their_viewport() -> None:
    body = '<symbol id="s" viewBox="0 0 10 10"{}><path d="M-5 5H15"/></symbol>'
    used = '<use href="#s" x="20" y="20" width="10" height="10"/>'
    assert lines(body.format("") + used) == [[(20, 25), (30, 25)]]
    assert lines(body.format(' overflow="visible"') + used) == [[(15, 25), (35, 25)]]


@pytest.mark.parametrize(
    ("origin", "wanted"),
    [
        ("", [(-2, 1), (-2, 3)]),
        ("10px 10px", [(18, 1), (18, 3)]),
        ("center", [(98, 1), (98, 3)]),
        ("right bottom", [(198, 1), (198, 3)]),
        ("bottom right", [(198, 1), (198, 3)]),
        ("10% 10%", [(18, 1), (18, 3)]),
        ("50% 10", [(58, -39), (58, -37)]),
    ],
)
def test_transform_origin(origin: str, wanted: list[tuple[float, float]]) -> None:
    """CSS Transforms Level 1, section 6, with the view box as reference box."""
    body = f'<path d="M1 2H3" transform="rotate(90)" transform-origin="{origin}"/>'
    assert lines(body) == [wanted]


def test_transform_box_of_the_shape_itself() -> None:
    body = (
        '<path d="M10 20H30V40" transform="rotate(180)" '
        'style="transform-origin:center;transform-box:fill-box"/>'
    )
    assert lines(body) == [[(30, 40), (10, 40), (10, 20)]]


def test_switch_takes_the_first_that_passes() -> None:
    body = (
        '<switch><path d="M0 0H1" requiredExtensions="x"/><path d="M0 0H2" systemLanguage="xx"/>'
        '<path d="M0 0H3" systemLanguage="xx, en-GB"/><path d="M0 0H4"/></switch>'
        '<path d="M0 0H5" systemLanguage="xx"/>'
    )
    assert lines(body) == [[(0, 0), (3, 0)]]


@pytest.mark.parametrize(
    ("body", "colour"),
    [
        ('<path d="M0 0H1" stroke="red"/>', "#ff0000"),
        ('<path d="M0 0H1" stroke="#f00"/>', "#ff0000"),
        ('<path d="M0 0H1" stroke="#f008"/>', "#ff0000"),
        ('<path d="M0 0H1" stroke="RGB(255, 0, 0)"/>', "#ff0000"),
        ('<path d="M0 0H1" stroke="rgb(100%,0%,0%)"/>', "#ff0000"),
        ('<path d="M0 0H1" stroke="rgba(255,0,0,.5)"/>', "#ff0000"),
        ('<path d="M0 0H1" stroke="rgb(255 0 0 / 50%)"/>', "#ff0000"),
        ('<path d="M0 0H1" stroke="hsl(0,100%,50%)"/>', "#ff0000"),
        ('<path d="M0 0H1" stroke="hwb(0 0% 0%)"/>', "#ff0000"),
        ('<path d="M0 0H1" style="stroke:red" stroke="blue"/>', "#ff0000"),
        ('<g color="red"><path d="M0 0H1" stroke="currentColor"/></g>', "#ff0000"),
        ('<g color="blue" stroke="currentColor"><path d="M0 0H1" color="red"/></g>', "#ff0000"),
        ('<g stroke="red"><path d="M0 0H1" stroke="inherit"/></g>', "#ff0000"),
        ('<g stroke="red"><path d="M0 0H1" stroke="oops"/></g>', "#ff0000"),
        ('<path d="M0 0H1" style="stroke:red;stroke:oops"/>', "#ff0000"),
        ('<path d="M0 0H1" stroke="url(#nothing) red"/>', "#ff0000"),
        ('<style>path{stroke:red}</style><path d="M0 0H1" stroke="blue"/>', "#ff0000"),
        ('<style>.a{stroke:red}path{stroke:blue}</style><path d="M0 0H1" class="b a"/>', "#ff0000"),
        (
            '<style>#i{stroke:red}.a{stroke:blue}</style><path d="M0 0H1" class="a" id="i"/>',
            "#ff0000",
        ),
        ('<style>g > path{stroke:red}path{stroke:blue}</style><path d="M0 0H1"/>', "#ff0000"),
        (
            '<style>path{stroke:red!important}</style><path d="M0 0H1" style="stroke:blue"/>',
            "#ff0000",
        ),
        (
            "<style>path{stroke:blue!important}</style>"
            '<path d="M0 0H1" style="stroke:red !important"/>',
            "#ff0000",
        ),
        ('<style>path{stroke:blue}</style><path d="M0 0H1" style="stroke:red"/>', "#ff0000"),
        ('<style>@media screen{path{stroke:red}}</style><path d="M0 0H1"/>', "#ff0000"),
        (
            '<style>@media print{path{stroke:blue}}</style><path d="M0 0H1" stroke="red"/>',
            "#ff0000",
        ),
        (
            '<style media="print">path{stroke:blue}</style><path d="M0 0H1" stroke="red"/>',
            "#ff0000",
        ),
        ("<style><![CDATA[path{stroke:red}]]></style><path d='M0 0H1'/>", "#ff0000"),
        ('<style>path:first-of-type{stroke:red}</style><path d="M0 0H1"/>', "#ff0000"),
    ],
)
def test_which_colour_counts(body: str, colour: str) -> None:
    """CSS Cascading Level 4 (order of the cascade), Selectors Level 4 (specificity), CSS Color
    Level 4, and SVG 2, chapter Styling: presentation attributes count less than any rule.
    """
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message=".*full ink")
        found = art(body, strict=False)
    assert [pen.colour for pen in found.drawing.pens] == [colour]


def test_use_inherits_from_where_it_stands() -> None:
    body = '<defs><path id="l" d="M0 0H1"/></defs><use href="#l" stroke="red"/><use href="#l"/>'
    assert [pen.colour for pen in art(body).drawing.pens] == ["#ff0000", "#000000"]


@pytest.mark.parametrize(
    ("width", "wanted"),
    [
        ("2", 2),
        ("1%", 1),
        ("2em", 32),
        ("1mm", 96 / 25.4),
        ("2px", 2),
    ],
)
def test_widths_of_lines(width: str, wanted: float) -> None:
    (pen,) = art(f'<path d="M0 0H1" stroke-width="{width}"/>').drawing.pens
    assert pen.width == pytest.approx(wanted, abs=1e-6)


@pytest.mark.parametrize(
    ("body", "told"),
    [
        ('<path d="M0 0H9" opacity=".5"/>', ["its opacity of 0.5 is not taken over"]),
        (f'<g opacity="30%">{LINE}{LINE}</g>', ["its opacity of 0.3 is not taken over"]),
        ('<path d="M0 0H9" stroke-opacity=".5"/>', ["its stroke has an opacity of 0.5"]),
        ('<path d="M0 0H9" stroke="rgba(0, 0, 9, 0.25)"/>', ["its stroke has an opacity of 0.25"]),
        (
            '<rect width="9" height="9" fill="#00f8" fill-opacity="0.5" stroke="none"/>',
            ["its fill has an opacity of 0.26"],
        ),
        ('<path d="M0 0H9" stroke-opacity="1" fill-opacity=".5" opacity="100%"/>', []),
    ],
)
def test_opacity_is_full_ink_and_listed(body: str, told: list[str]) -> None:
    """A pen draws in full or not at all; SVG 2, chapters Rendering and Painting."""
    text = f'{HEAD}<g fill="none" stroke="#000">{body}</g></svg>'
    if not told:
        assert read(text, strict=True).left_out == ()
        return
    with pytest.warns(SvgWarning, match="full ink"):
        found = read(text)
    reasons = [item.reason for item in found.left_out]
    assert [reason[: len(one)] for reason, one in zip(reasons, told, strict=True)] == told
    assert len(found.drawing) + len(found.areas) > 0
    with pytest.raises(SvgError, match="full ink"):
        read(text, strict=True)


def test_widths_are_scaled_unless_they_are_not() -> None:
    body = '<g transform="scale(3)"><path d="M0 0H1" stroke-width="2" {}/></g>'
    assert art(body.format("")).drawing.pens[0].width == 6
    (pen,) = art(body.format('vector-effect="non-scaling-stroke"')).drawing.pens
    assert pen.width == pytest.approx(2 * 25.4 / 96)


@pytest.mark.parametrize(
    ("attributes", "wanted"),
    [
        ('stroke-dasharray="2 1"', [(0, 2), (3, 5), (6, 8), (9, 10)]),
        ('stroke-dasharray="2"', [(0, 2), (4, 6), (8, 10)]),
        ('stroke-dasharray="1,2,3"', [(0, 1), (3, 6), (7, 9)]),  # repeated: 1 2 3 1 2 3
        ('stroke-dasharray="2 1" stroke-dashoffset="1"', [(0, 1), (2, 4), (5, 7), (8, 10)]),
        ('stroke-dasharray="2 1" stroke-dashoffset="-1"', [(1, 3), (4, 6), (7, 9)]),
        ('stroke-dasharray="2 1" stroke-dashoffset="301"', [(0, 1), (2, 4), (5, 7), (8, 10)]),
        ('stroke-dasharray="20 10" pathLength="100"', [(0, 2), (3, 5), (6, 8), (9, 10)]),
        ('stroke-dasharray="20%,10" stroke-linecap="round"', [(0, 10)]),
        ('stroke-dasharray="0 5" stroke-linecap="round"', [(0,), (5,)]),
        ('stroke-dasharray="0 5"', []),
        ('stroke-dasharray="0 0"', [(0, 10)]),
        ('stroke-dasharray="2 -1"', [(0, 10)]),  # invalid: as if it were not there
        ('stroke-dasharray="none"', [(0, 10)]),
        ('stroke-dasharray="2 0"', [(0, 10)]),
    ],
)
def test_dashes(attributes: str, wanted: list[tuple[float, ...]]) -> None:
    """SVG 2, chapter Painting, "Dashing strokes"; numbers by hand."""
    found = [tuple(x for x, _ in stroke) for stroke in lines(f'<path d="M0 0H10" {attributes}/>')]
    assert found == wanted


def test_path_length_in_degrees_around_a_circle() -> None:
    """With pathLength 360 the numbers of a dash array are degrees: SVG 2, chapter Paths, "Distance
    along a path"; a circle begins at its right and turns clockwise (chapter Basic shapes).
    """
    body = '<circle cx="20" cy="20" r="10" pathLength="360" stroke-dasharray="{}"/>'
    found = lines(body.format("30 60"))
    ends = [
        [math.degrees(math.atan2(y - 20, x - 20)) % 360 for x, y in (stroke[0], stroke[-1])]
        for stroke in found
    ]
    wanted = [[0, 30], [90, 120], [180, 210], [270, 300]]
    assert ends == [pytest.approx(pair, abs=0.2) for pair in wanted]
    # by hand: 10 mm * 30 degrees * pi / 180 = 5.236 mm
    for stroke in art(body.format("30 60")).drawing:
        assert np.hypot(*np.diff(stroke, axis=0).T).sum() == pytest.approx(5.23599, abs=0.01)


def test_path_length_along_a_parabola() -> None:
    """Half of the way along y = x² from 0 to 1: its length up to x is x sqrt(1 + 4 x²) / 2 +
    asinh(2 x) / 4 (by integration), in all 1.478943; half of that is 0.739471, a third 0.492981.
    """
    body = '<g transform="scale(20)"><path d="M0 0Q.5 0 1 1" stroke-width=".01" {}/></g>'
    (dash,) = lines(body.format('pathLength="2" stroke-dasharray="1 9"'))
    x, y = (place / 20 for place in dash[-1])
    assert y == pytest.approx(x * x, abs=0.002)
    assert x * math.sqrt(1 + 4 * x * x) / 2 + math.asinh(2 * x) / 4 == pytest.approx(
        0.739471, abs=0.001
    )
    # a dash of a hundred units of a length of three hundred is a third
    (dash,) = lines(body.format('pathLength="300" stroke-dasharray="100 900"'))
    x = dash[-1][0] / 20
    assert x * math.sqrt(1 + 4 * x * x) / 2 + math.asinh(2 * x) / 4 == pytest.approx(
        0.492981, abs=0.001
    )


@pytest.mark.parametrize(
    ("told", "first"),
    [
        # both subpaths count: 5 + 5 mm are 20 units, so 4 units are 2 mm
        ('pathLength="20"', 2),
        # 0 and less say nothing that a dash could be measured by
        ('pathLength="-20"', 4),
        ('pathLength="long"', 4),
    ],
)
def test_path_length_counts_all_subpaths(told: str, first: float) -> None:
    found = lines(f'<path d="M0 0H5M0 5H5" {told} stroke-dasharray="4 90"/>')
    assert found == [[(0, 0), (first, 0)], [(0, 5), (first, 5)]]


def test_dashes_begin_anew_with_each_subpath_and_scale_with_it() -> None:
    body = '<g transform="scale(2 1)"><path d="M0 0H5M0 5H5" stroke-dasharray="3 1"/></g>'
    assert lines(body) == [
        [(0, 0), (6, 0)],
        [(8, 0), (10, 0)],
        [(0, 5), (6, 5)],
        [(8, 5), (10, 5)],
    ]


def test_the_last_dash_of_a_ring_joins_the_first() -> None:
    body = '<rect width="10" height="10" stroke-dasharray="10 10" stroke-dashoffset="5"/>'
    assert lines(body) == [[(0, 5), (0, 0), (5, 0)], [(10, 5), (10, 10), (5, 10)]]


def test_dashes_of_a_circle_are_as_long_as_they_say() -> None:
    drawing = art('<circle cx="50" cy="50" r="40" stroke-dasharray="7 3"/>').drawing
    lengths = drawing.lengths
    rest = 80 * np.pi - 250  # begun at the end of the circle, and joined to the first dash
    assert lengths == pytest.approx([7 + rest, *[7] * 24], abs=3e-3)


CIRCLE = '<clipPath id="c"{}><circle cx="50" cy="50" r="10"/></clipPath>'
ACROSS = '<path d="M0 50H100" clip-path="url(#c)"/>'


@pytest.mark.parametrize(
    ("body", "wanted"),
    [
        (CIRCLE.format("") + ACROSS, (40, 60)),
        (CIRCLE.format(' transform="translate(5 0)"') + ACROSS, (45, 65)),
        (f'<g transform="translate(3 0)">{CIRCLE.format("")}{ACROSS}</g>', (43, 63)),
        (
            CIRCLE.format(' clip-path="url(#d)"')
            + ACROSS
            + '<clipPath id="d"><rect x="45" width="100" height="100"/></clipPath>',
            (45, 60),
        ),
        (
            '<clipPath id="c"><rect width="100" height="100" clip-path="url(#d)"/></clipPath>'
            '<clipPath id="d"><rect x="45" width="10" height="100"/></clipPath>' + ACROSS,
            (45, 55),
        ),
        (
            '<clipPath id="c"><use href="#r" x="10"/></clipPath><defs><rect id="r" x="5" width="9" '
            'height="99"/></defs>' + ACROSS,
            (15, 24),
        ),
        (
            '<clipPath id="c" clipPathUnits="objectBoundingBox">'
            '<rect x=".25" width=".5" height="1"/></clipPath>'
            '<g clip-path="url(#c)"><path d="M20 50H60"/><path d="M20 40H20V60" '
            'stroke="none"/></g>',
            (30, 50),
        ),
        (
            CIRCLE.format("")
            + f'<g clip-path="url(#c)"><g clip-path="url(#d)">{ACROSS}</g></g>'
            + '<clipPath id="d"><rect x="45" width="100" height="100"/></clipPath>',
            (45, 60),
        ),
        (
            '<clipPath id="c"><path clip-rule="evenodd" d="M20 0h60v99h-60zM20 0h30v99h-30z"/>'
            "</clipPath>" + ACROSS,
            (50, 80),
        ),
        (
            '<clipPath id="c"><path d="M20 0h60v99h-60zM20 0h30v99h-30z"/></clipPath>' + ACROSS,
            (20, 80),
        ),
    ],
)
def test_clips_cut_exactly(body: str, wanted: tuple[float, float]) -> None:
    """CSS Masking Level 1, section 5; numbers by hand."""
    (stroke,) = lines(body)
    assert (stroke[0][0], stroke[-1][0]) == pytest.approx(wanted, abs=1e-9)


def test_an_empty_clip_hides_all_and_a_missing_one_nothing() -> None:
    assert lines(f'<clipPath id="c"/>{ACROSS}') == []
    with pytest.warns(SvgWarning, match="there is no clipPath 'c'"):
        found = read(f'{HEAD}<g stroke="red">{ACROSS}</g></svg>')
    assert len(found.drawing) == 1


def test_areas_by_colour_and_rule() -> None:
    star = "M50 5L79 95 3 39H97L21 95Z"
    found = art(
        f'<path d="{star}" fill="red" stroke="none"/>'
        f'<path d="{star}" fill="#00f" fill-rule="evenodd" stroke="none"/>'
        '<path d="M0 0H10V10" fill="lime" stroke="none"/><path d="M0 0H10" fill="lime"/>'
    )
    red, blue, lime = found.areas
    assert (red.colour, blue.colour, lime.colour) == ("#ff0000", "#0000ff", "#00ff00")
    middle = red.region.difference(blue.region)
    assert middle.area > 100
    assert middle.contains(shapely.Point(50, 50))
    assert lime.region.area == pytest.approx(50)
    assert lime.region.bounds == pytest.approx((0, 90, 10, 100))


def test_areas_are_clipped() -> None:
    body = CIRCLE.format("") + '<rect width="50" height="100" fill="red" clip-path="url(#c)"/>'
    (area,) = art(body).areas
    assert area.region.area == pytest.approx(np.pi * 50, rel=3e-3)


SQUARES = (
    '<rect width="20" height="20" fill="red"/>'
    '<rect x="10" y="10" width="20" height="20" fill="blue" stroke="none"/>'
)


def test_fills_become_what_the_caller_wants() -> None:
    assert len(art(SQUARES).drawing) == 1
    outlined = art(SQUARES, fills="outline", strokes=None).drawing
    assert [pen.colour for pen in outlined.pens] == ["#ff0000", "#0000ff"]
    assert outlined.length == 160
    asked = []

    def lined(area: Any, colour: str) -> Drawing:
        asked.append((colour, area.area))
        return hatch(area, spacing=2)

    drawing = art(SQUARES, fills=lined, strokes=None).drawing
    assert asked == [("#ff0000", 400), ("#0000ff", 400)]
    assert [pen.colour for pen in drawing.pens] == ["#ff0000", "#0000ff"]
    own = Pen("own")
    drawing = art(SQUARES, fills=lambda area, _: hatch(area, spacing=2, pen=own)).drawing
    assert own in drawing.pens
    with pytest.raises(InvalidValue, match="fills must give a Drawing"):
        art(SQUARES, fills=lambda *_: 3)


def test_later_shapes_hide_earlier_ones_when_asked() -> None:
    plain = art(SQUARES, fills="outline", strokes=None)
    hidden = art(SQUARES, fills="outline", strokes=None, hide=True)
    assert plain.drawing.length - hidden.drawing.length == pytest.approx(20)
    assert hidden.drawing.bounds == plain.drawing.bounds


def test_strokes_as_outlines_in_full_width() -> None:
    body = '<path d="M10 50H90" stroke-width="4"{}/>'
    for caps, length, reach in (
        ("butt", 168, 10),
        ("square", 176, 8),
        ("round", 160 + 4 * np.pi, 8),
    ):
        drawing = art(body.format(f' stroke-linecap="{caps}"'), strokes="outline").drawing
        assert drawing.length == pytest.approx(length, abs=0.01)
        assert drawing.bounds == pytest.approx((reach, 48, 100 - reach, 52))
    ring = '<rect x="10" y="10" width="20" height="20" stroke-width="2"/>'
    assert art(ring, strokes="outline").drawing.length == pytest.approx(4 * 22 + 4 * 18)


PENS = (
    '<g id="one"><path d="M0 0H1" stroke="#e00" stroke-width=".3"/></g>'
    '<g stroke="red" stroke-width="1"><title>two</title>'
    '<path d="M0 0H2" stroke="#00c" stroke-width=".3"/>'
    '<g><path d="M0 0H3" stroke="#e00" stroke-width=".7"/></g></g>'
)


@pytest.mark.parametrize(
    ("pens", "wanted"),
    [
        (None, [("#ee0000", 0.3), ("two", 0.3), ("two #ee0000", 0.7)]),
        ("colour", [("#ee0000", 0.3), ("#0000cc", 0.3), ("#ee0000", 0.3)]),
        ("width", [("0.3 mm", 0.3), ("0.3 mm", 0.3), ("0.7 mm", 0.7)]),
        ("group", [("one", 0.3), ("two", 0.3), ("two", 0.3)]),
    ],
)
def test_pens_by_what_the_file_says(pens: str | None, wanted: list[tuple[str, float]]) -> None:
    with warnings.catch_warnings():
        drawing = read(f"{HEAD}{PENS}</svg>", pens=pens).drawing
    found = [drawing.pens[k] for k in drawing.pen_index]
    assert [(pen.name, pen.width) for pen in found] == wanted


def test_a_title_names_no_pen_unless_its_group_says_one() -> None:
    look = '<path d="M0 0H1" stroke="navy" stroke-width=".3"/>'
    text = f"{HEAD}<g><title>North</title>{look}</g><g><title>South</title>{look}</g></svg>"
    assert [(pen.name, pen.width) for pen in read(text).drawing.pens] == [("navy", 0.3)]


def test_the_nearest_of_given_pens() -> None:
    rack = [Pen("navy", colour="navy"), Pen("red", 0.3, "red"), Pen("broad", 0.8, "red")]
    drawing = read(f"{HEAD}{PENS}</svg>", pens=rack).drawing
    assert [drawing.pens[k].name for k in drawing.pen_index] == ["red", "navy", "broad"]


def test_a_function_chooses_the_pen_or_none() -> None:
    seen: list[Ink] = []

    def choose(ink: Ink) -> Pen | None:
        seen.append(ink)
        return Pen(ink.colour) if ink.colour == "#ee0000" else None

    drawing = read(f"{HEAD}{PENS}</svg>", pens=choose).drawing
    assert len(drawing) == 2
    assert [ink.group for ink in seen] == ["one", "two", "two"]
    assert (seen[1].kind, seen[1].title, seen[1].line) == ("stroke", "two", 1)
    with pytest.raises(InvalidValue, match="pens must give a Pen"):
        read(f"{HEAD}{PENS}</svg>", pens=lambda _: "red")  # type: ignore[arg-type, return-value]


@pytest.mark.parametrize(
    ("body", "element", "reason"),
    [
        ("<text>hi</text>", "text", "pass fonts="),
        ('<image href="a.png"/>', "image", "pictures"),
        ("<foreignObject/>", "foreignObject", "no SVG"),
        ('<path d="M0 0H1" marker-end="url(#m)"/>', "path", "markers"),
        ('<style>path{marker:url(#m)}</style><path d="M0 0H1"/>', "path", "markers"),
        ('<linearGradient id="l"/><rect width="9" height="9" fill="url(#l)"/>', "rect", "linearG"),
        ('<pattern id="l"/><rect width="9" height="9" stroke="url(#l)"/>', "rect", "pattern"),
        ('<g mask="url(#m)"><path d="M0 0H1"/></g>', "g", "mask"),
        ('<path d="M0 0H1" style="filter:blur(3px)"/>', "path", "filter"),
        ('<path d="M0 0H1" clip-path="circle(3px)"/>', "path", "clip-path"),
        ('<path d="M0 0H1L"/>', "path", "L takes 2 numbers"),
        ('<path d="M0 0H1" transform="turn(3)"/>', "path", "transform"),
        ('<circle r="-4"/>', "circle", "below 0"),
        ('<circle r="4apples"/>', "circle", "no length"),
        ('<use href="#nowhere"/>', "use", "no element"),
        ('<use href="other.svg#a"/>', "use", "never opened"),
        ('<g id="a"><use href="#a"/></g>', "use", "uses itself"),
        ('<use id="b" href="#b"/>', "use", "uses itself"),
        ("<blink/>", "blink", "not known"),
        ('<path d="M0 0H1" style="stroke:var(--ink)"/>', "path", "is not understood"),
        ('<path d="M0 0H1" style="stroke-width:calc(1px + 2px)"/>', "path", "is not understood"),
        ('<path d="M0 0H1" stroke="context-stroke"/>', "path", "is not understood"),
        ("<script>alert()</script>", "script", "never run"),
        ('<path d="M0 0H1"/><animate/>', "animate", "animation"),
        ("<style>@import 'a.css';</style>", "style", "never opened"),
    ],
)
def test_nothing_is_dropped_silently(body: str, element: str, reason: str) -> None:
    text = f'{HEAD}\n<g stroke="red">{body}</g></svg>'
    with pytest.warns(SvgWarning, match="line 2") as told:
        found = read(text)
    assert len(told) == 1
    assert [(item.element, item.line) for item in found.left_out] == [(element, 2)]
    assert reason in found.left_out[0].reason
    with pytest.raises(SvgError, match="line 2") as caught:
        read(text, strict=True)
    assert caught.value.line == 2


def test_what_is_not_seen_is_not_listed() -> None:
    body = '<g display="none"><text>hi</text></g><defs><image/></defs><desc>text</desc>'
    assert art(body + '<g xmlns="http://example.org/x"><text/></g>').left_out == ()


def test_a_drawing_of_fills_only_says_so() -> None:
    with pytest.warns(SvgWarning, match=r"1 filled shapes are in areas"):
        read(f'{HEAD}<rect width="9" height="9"/></svg>')


def test_files_plain_and_packed(tmp_path: Path) -> None:
    text = f'{HEAD}<path d="M0 0H1" stroke="red"/></svg>'
    for name, data in (
        ("a.svg", text.encode()),
        ("b.svgz", gzip.compress(text.encode())),
        ("c.svg", b"\xef\xbb\xbf" + text.encode()),
        ("d.svg", text.encode("utf-16")),
        ("e.svg", f'<?xml version="1.0" encoding="iso-8859-1"?>{text}'.encode("latin-1")),
    ):
        (tmp_path / name).write_bytes(data)
        assert len(read(tmp_path / name).drawing) == 1
    assert len(read(str(tmp_path / "a.svg")).drawing) == 1


def test_wrong_options_are_named(tmp_path: Path) -> None:
    text = f"{HEAD}</svg>"
    with pytest.raises(UnknownName, match="strokes must be one of"):
        read(text, strokes="both")
    with pytest.raises(UnknownName, match="fills must be one of"):
        read(text, fills="solid")
    with pytest.raises(UnknownName, match="pens must be one of"):
        read(text, pens="layer")
    with pytest.raises(InvalidValue, match="pens must be None"):
        read(text, pens=[3])  # type: ignore[list-item]
    with pytest.raises(InvalidValue, match="size must be"):
        read(text, size=(3, -1))
    with pytest.raises(InvalidValue, match="budget must be from 1"):
        read(text, budget=0)
    with pytest.raises(NotRead, match="that is text must hold"):
        read(str(tmp_path / "nothing.svg"))
    with pytest.raises(NotRead, match=r"check the name and the folder$"):  # a Path is no text
        read(tmp_path / "nothing.svg")


def test_progress_is_told() -> None:
    seen: list[tuple[str, float | None]] = []
    progress.listen(lambda what, share: seen.append((what, share)))
    try:
        art(SQUARES, fills="outline")
    finally:
        progress.listen_on_stderr()
    shares = [share for what, share in seen if what == "reading an SVG"]
    assert shares[0] == 0
    assert shares[-1] == 1
    assert shares == sorted(shares, key=lambda share: share or 0)


def test_areas_that_their_viewport_hides_are_not_told_to_be_drawn_by_what_was_given() -> None:
    hidden = '<svg x="3" y="4" width="20" height="30"><path d="M-9 0L-3 4 -6 9"/></svg>'
    art = read(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="90mm">{hidden}</svg>',
        fills="outline",
    )
    assert len(art.drawing) == 0
