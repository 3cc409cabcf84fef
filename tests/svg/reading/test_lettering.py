"""Text on request: W3C, *Scalable Vector Graphics (SVG) 2*, chapter Text; advances as measured by
the rooms that letter.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import matplotlib
import pytest

from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, NotRead
from plotlib.svg import Artwork, SvgWarning, read
from plotlib.text import font_area, lettering, measure, measure_font

FONT = Path(matplotlib.get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf"
HEAD = '<svg width="100mm" height="100mm" viewBox="0 0 100 100" font-size="10">'
SIMPLEX = "roman simplex"


def art(body: str, fonts: Any = SIMPLEX) -> Artwork:
    return read(f"{HEAD}{body}</svg>", fonts=fonts, strict=True)


def advance(text: str, size: float = 10) -> float:
    return measure(text, height=0.7 * size).advance


def left(body: str) -> float:
    """Where the ink of a letter I begins, less what it would at the origin."""
    drawing = art(body).drawing
    assert drawing.bounds is not None
    own = lettering("I", height=7).bounds
    assert own is not None
    return drawing.bounds[0] - own[0]


def test_single_strokes_stand_where_the_text_says() -> None:
    drawing = art('<text x="20" y="30" fill="navy">Skerrow</text>').drawing
    wanted = lettering("Skerrow", height=7, at=(20, 70))
    assert drawing.bounds == pytest.approx(wanted.bounds)
    assert len(drawing) == len(wanted)
    assert drawing.length == pytest.approx(wanted.length)
    assert [pen.colour for pen in drawing.pens] == ["#000080"]


def test_an_outline_font_gives_areas() -> None:
    found = read(
        f'{HEAD}<text x="20" y="30" fill="red" stroke="#00f">Skerrow</text></svg>', fonts=FONT
    )
    upem, cap = 2048, 1493  # of DejaVu Sans
    wanted = font_area("Skerrow", FONT, height=10 * cap / upem, at=(20, 70))
    (area,) = found.areas
    assert area.colour == "#ff0000"
    assert area.element == "text"
    assert area.region.symmetric_difference(wanted).area < 0.05
    assert found.drawing.length == pytest.approx(Drawing(wanted).length, rel=1e-3)


def test_anchors() -> None:
    whole = advance("I")
    for anchor, share in (("start", 0), ("middle", 0.5), ("end", 1)):
        body = f'<text x="50" y="50" text-anchor="{anchor}">I</text>'
        assert left(body) == pytest.approx(50 - share * whole)


def test_lists_of_places() -> None:
    wide = advance("I")
    strokes = art('<text x="10 40" y="50 60 70" dx="0 0 5">III</text>').drawing
    own = lettering("I", height=7)[0]
    found = [(s[:, 0].min() - own[:, 0].min(), 100 - s[:, 1].min()) for s in strokes]
    assert found == [
        pytest.approx((10, 50)),
        pytest.approx((40, 60)),
        pytest.approx((40 + wide + 5, 70)),
    ]


def test_tspans_go_on_where_the_text_is() -> None:
    body = (
        '<text x="10" y="50">I<tspan font-size="20" fill="red">I</tspan>'
        '<tspan dy="5">I</tspan></text>'
    )
    drawing = art(body).drawing
    assert [pen.colour for pen in drawing.pens] == ["#000000", "#ff0000"]
    small, large, last = list(drawing)
    assert large[:, 1].max() - large[:, 1].min() == pytest.approx(14)
    assert last[:, 1].min() == pytest.approx(45)
    shift = last[:, 0].min() - small[:, 0].min()
    assert shift == pytest.approx(advance("I") + advance("I", 20))


def test_a_tspan_with_its_own_place_is_anchored_by_itself() -> None:
    body = (
        '<text x="10" y="20" text-anchor="end">I<tspan x="50" y="60" '
        'text-anchor="middle">I</tspan></text>'
    )
    first, second = list(art(body).drawing)
    own = lettering("I", height=7)[0][:, 0].min()
    assert first[:, 0].min() - own == pytest.approx(10 - advance("I"))
    assert second[:, 0].min() - own == pytest.approx(50 - advance("I") / 2)


@pytest.mark.parametrize(
    ("body", "text"),
    [
        ("<text>  a \n\t b </text>", "a b"),
        ("<text>a<tspan> b</tspan> </text>", "a b"),
        ('<text xml:space="preserve"> a  b</text>', " a  b"),
    ],
)
def test_blanks(body: str, text: str) -> None:
    found = art(body).drawing
    wanted = lettering(text, height=7, at=(0, 100))
    assert found.bounds == pytest.approx(wanted.bounds)


def test_families_of_a_mapping() -> None:
    fonts = {"Isle Sans": FONT, "Pen": SIMPLEX, "": "italic complex"}
    sans = '<text font-family="\'isle sans\', serif" y="50">I</text>'
    assert len(art(sans + '<text font-family="Other" y="50">I</text>', fonts).areas) == 1
    assert len(art('<text style="font:12px Pen" y="50">I</text>', fonts).drawing) == 1
    with pytest.warns(SvgWarning, match=r"no family of 'Other'; it has 'pen'"):
        read(f'{HEAD}<text font-family="Other">I</text></svg>', fonts={"Pen": SIMPLEX})


@pytest.mark.parametrize(
    ("body", "reason"),
    [
        ('<text rotate="30">I</text>', "rotate"),
        ('<text textLength="30">I</text>', "textLength"),
        ("<text>I<textPath>I</textPath></text>", "only tspan"),
        ('<text x="oops">I</text>', "no length"),
        ("<text>I \U0001f600</text>", "grinning|U\\+1F600|1f600|face"),
    ],
)
def test_what_is_not_lettered_is_listed(body: str, reason: str) -> None:
    with pytest.warns(SvgWarning, match=reason):
        found = read(f"{HEAD}{body}</svg>", fonts=SIMPLEX)
    assert len(found.drawing) >= 1


def test_hidden_and_empty_texts() -> None:
    body = (
        '<text visibility="hidden">I</text><text display="none">I</text><text/>'
        '<text font-size="0">I</text><text x="10" y="50"><tspan visibility="hidden">I</tspan>I'
        "</text>"
    )
    drawing = art(body).drawing
    assert len(drawing) == 1
    own = lettering("I", height=7)[0][:, 0].min()
    assert drawing[0][:, 0].min() - own == pytest.approx(10 + advance("I"))


def test_text_takes_transforms_and_clips() -> None:
    body = (
        '<clipPath id="c"><rect y="45" width="100" height="3"/></clipPath>'
        '<g clip-path="url(#c)"><text x="5" y="25" transform="scale(2)">I</text></g>'
    )
    (stroke,) = art(body).drawing
    assert stroke[:, 1].tolist() in ([52, 55], [55, 52])
    with pytest.warns(SvgWarning, match="nothing is stroked"):
        found = read(f'{HEAD}<text y="50">ffi</text></svg>', fonts=FONT)
    cap = 10 * 1493 / 2048
    assert found.areas[0].region.bounds[2] <= measure_font("ffi", FONT, height=cap).advance + 0.5


def test_wrong_fonts_are_named() -> None:
    for wrong in (3, {}, {3: FONT}, "", b"a"):
        with pytest.raises(InvalidValue, match="font"):
            read(f"{HEAD}</svg>", fonts=wrong)  # type: ignore[arg-type]
    with pytest.raises(NotRead, match="no-such"):
        read(f"{HEAD}</svg>", fonts="no-such.ttf")
