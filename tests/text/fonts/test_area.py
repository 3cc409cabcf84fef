from pathlib import Path

import numpy as np
import pytest
import shapely

import plotlib as pl
from plotlib.text import font_area, measure_font

matplotlib = pytest.importorskip("matplotlib")
pytest.importorskip("uharfbuzz")
FONTS = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
SANS = FONTS / "DejaVuSans.ttf"
SERIF = FONTS / "DejaVuSerif.ttf"


def test_height_is_the_capital_h():
    left, bottom, right, top = font_area("H", SANS, height=12, at=(3, 4)).bounds
    assert (bottom, top) == pytest.approx((4, 16), abs=1e-9)
    assert left > 3
    assert right - left > 5


@pytest.mark.parametrize(
    ("letter", "holes"), [("O", 1), ("B", 2), ("8", 2), ("H", 0), ("%", 2), ("Ø", 2)]
)
def test_counters_are_holes(letter, holes):
    area = font_area(letter, SANS, height=20)
    assert area.is_valid
    assert sum(len(part.interiors) for part in getattr(area, "geoms", [area])) == holes


def test_an_accented_letter_has_its_parts():
    assert len(font_area("ä", SANS, height=20).geoms) == 3


def test_curves_keep_to_the_tolerance():
    fine = font_area("O", SANS, height=40, tolerance=0.0005)
    for tolerance in (0.02, 0.2):
        coarse = font_area("O", SANS, height=40, tolerance=tolerance)
        assert max(_gap(fine, coarse), _gap(coarse, fine)) <= tolerance + 0.0005
        assert shapely.get_num_coordinates(coarse) < shapely.get_num_coordinates(fine)


def _gap(a, b):
    dense = shapely.segmentize(a.boundary, 0.05)
    return shapely.distance(shapely.points(shapely.get_coordinates(dense)), b.boundary).max()


def test_text_without_ink_is_an_empty_area():
    for text in ("", " ", "\n\n"):
        assert font_area(text, SANS).is_empty
        assert measure_font(text, SANS).ink is None
        assert len(measure_font(text, SANS).lines) == text.count("\n") + 1


def test_a_character_that_the_font_lacks_is_named():
    with pytest.raises(
        pl.InvalidValue, match=r"U\+AC00.*position 3.*DejaVu|DejaVu.*U\+AC00"
    ) as caught:
        font_area("ab\n가", SANS)
    assert (caught.value.line, caught.value.column) == (2, 1)
    assert font_area("a가", SANS, missing="?").equals(font_area("a?", SANS))
    assert font_area("a가", SANS, missing="").equals(font_area("a", SANS))
    with pytest.raises(pl.InvalidValue):
        font_area("a", SANS, missing="ab")


@pytest.mark.parametrize("mark", ["\u202e", "\u2067", "\x07", "\ud800"])
def test_control_characters_are_refused(mark):
    with pytest.raises(pl.InvalidValue, match=f"U\\+{ord(mark):04X}"):
        font_area(f"a{mark}b", SANS)
    assert font_area(f"a{mark}b", SANS, missing="").equals(font_area("ab", SANS))


def test_many_letters_are_the_sum_of_their_areas():
    text = "HIO" * 1000
    one = sum(font_area(letter, SANS, height=3).area for letter in "HIO")
    many = font_area(text, SANS, height=3, tracking=0.5)
    assert many.area == pytest.approx(1000 * one, rel=1e-9)
    assert len(many.geoms) == 3000


def test_files_that_are_no_fonts(tmp_path):
    with pytest.raises(pl.NotRead, match=r"font .*none\.ttf': there is no such file"):
        font_area("a", tmp_path / "none.ttf")
    bad = tmp_path / "bad.ttf"
    bad.write_text("no font")
    with pytest.raises(pl.InvalidValue, match="no font"):
        font_area("a", bad)
    with pytest.raises(pl.InvalidValue):
        font_area("a", 7)
    with pytest.raises(pl.NotRead, match="it is a folder"):
        font_area("a", tmp_path)


def test_alignment_anchor_and_turning():
    taken = measure_font("Holm\nquay", SERIF, height=6, align="right", anchor="top")
    for (x, _), advance in zip(taken.baselines, taken.advances, strict=True):
        assert x == pytest.approx(-advance)
    assert taken.baselines[0][1] == pytest.approx(-6)
    straight = font_area("Holm", SERIF)
    turned = font_area("Holm", SERIF, angle=90)
    np.testing.assert_allclose(
        turned.bounds,
        [-straight.bounds[3], straight.bounds[0], -straight.bounds[1], straight.bounds[2]],
        atol=1e-9,
    )


def test_wrapped_and_justified_lines():
    text = "the ferry leaves the inner quay at half tide, weather permitting"
    taken = measure_font(text, SERIF, height=4, wrap=60, align="justified")
    assert len(taken.lines) >= 3
    assert all(advance == pytest.approx(60, abs=0.01) for advance in taken.advances[:-1])
    assert " ".join(taken.lines) == text
    assert max(measure_font(text, SERIF, height=4, wrap=60).advances) <= 60 + 1e-9
    with pytest.raises(pl.InvalidValue, match="'permitting'"):
        measure_font(text, SERIF, height=4, wrap=10)


def test_ligatures_of_the_font_are_used():
    apart = sum(measure_font(letter, SERIF, height=10).advance for letter in "fi")
    assert measure_font("fi", SERIF, height=10).advance != pytest.approx(apart, abs=1e-6)


def test_width_slant_and_tracking():
    plain = font_area("HI", SANS, height=10)
    assert font_area("HI", SANS, height=10, width=2).area == pytest.approx(2 * plain.area)
    assert font_area("HI", SANS, height=10, slant=20).area == pytest.approx(plain.area)
    wider = measure_font("HIH", SANS, tracking=1.5).advance
    assert wider == pytest.approx(measure_font("HIH", SANS).advance + 3.0)


def test_the_outline_alone_is_a_drawing():
    drawing = pl.Drawing(font_area("O", SANS, height=10))
    assert len(drawing) == 2
    assert drawing.is_closed.all()


def test_overlapping_glyphs_are_one_area():
    together = font_area("OO", SANS, height=10, tracking=-4)
    assert together.is_valid
    assert together.area < 2 * font_area("O", SANS, height=10).area
