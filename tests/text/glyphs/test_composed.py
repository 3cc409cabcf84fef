"""Accented and special letters: where the marks stand."""

import unicodedata

import numpy as np
import pytest

from plotlib.text import faces, lettering, measure, subscript, superscript
from plotlib.text.glyphs.faces import face_of, glyph_of

LATIN = [
    chr(c)
    for c in [*range(0xC0, 0x180), 0x218, 0x219, 0x21A, 0x21B, 0x1E9E]
    if c not in (0xD7, 0xF7)
]


def bounds(text, **options):
    return lettering(text, height=21, **options).bounds


@pytest.mark.parametrize("face", faces())
def test_every_latin_letter_of_the_european_alphabets_has_a_glyph(face):
    missing = [letter for letter in LATIN if glyph_of(face_of(face), letter) is None]
    assert missing == []


@pytest.mark.parametrize("face", faces())
def test_printable_ascii_and_the_usual_typographic_signs_are_complete(face):
    ranges = [(0x20, 0x7F), (0xA1, 0xAD), (0xAE, 0xC0)]
    signs = [chr(code) for block in ranges for code in range(*block)] + list(
        "‘’“”„‚‹›–—…•†‡‰€™′″−×÷±≤≥≠≈°½¼¾⅓⅔²³№✓"
    )
    assert [sign for sign in signs if glyph_of(face_of(face), sign) is None] == []


@pytest.mark.parametrize("face", faces())
@pytest.mark.parametrize("letter", list("ÄÉÎÕŮŽäéîõůžőğ"))
def test_an_accent_stands_above_its_letter_and_over_it(face, letter):
    base = glyph_of(face_of(face), {"î": "ı"}.get(letter, unicodedata.normalize("NFD", letter)[0]))
    whole = glyph_of(face_of(face), letter)
    assert whole.advance == base.advance
    assert [part.tolist() for part in whole.strokes[: len(base.strokes)]] == [
        part.tolist() for part in base.strokes
    ]
    mark = np.concatenate(whole.strokes[len(base.strokes) :])
    assert mark[:, 1].min() > base.points[:, 1].max()
    assert base.points[:, 0].min() - 4 < mark[:, 0].mean() < base.points[:, 0].max() + 6


@pytest.mark.parametrize("letter", list("çşąęįųņķșț"))
def test_a_mark_below_hangs_from_the_foot(letter):
    base, whole = (
        glyph_of(face_of("roman simplex"), part)
        for part in (unicodedata.normalize("NFD", letter)[0], letter)
    )
    mark = np.concatenate(whole.strokes[len(base.strokes) :])
    assert mark[:, 1].max() <= 0.0
    assert mark[:, 1].min() < -4.0


def test_composed_and_decomposed_text_is_the_same():
    for text in ("Ärger", "Łódź", "ǘ", "ệ", "Ἀθῆναι"):
        assert lettering(unicodedata.normalize("NFD", text)) == lettering(
            unicodedata.normalize("NFC", text)
        )


def test_a_letter_with_marks_that_has_no_code_point_of_its_own():
    assert bounds("x\u0302")[3] > bounds("x")[3]
    assert measure("x\u0302").advance == measure("x").advance


def test_two_marks_stand_over_each_other():
    one = bounds("ü")
    two = bounds("ǘ")
    assert two[3] > one[3] + 3


def test_i_loses_its_dot_under_an_accent():
    dotless, dotted, acute = (glyph_of(face_of("roman simplex"), c) for c in "ıií")
    assert len(dotted.strokes) == len(dotless.strokes) + 1
    assert len(acute.strokes) == len(dotless.strokes) + 1


@pytest.mark.parametrize("face", ["cyrillic complex", "roman complex"])
def test_small_cyrillic_letters_are_smaller_than_their_capitals(face):
    for small in "авгдежзийклмнопрстухцчшщъыьэюя":
        assert measure(small, face=face).advance <= measure(small.upper(), face=face).advance
        assert abs(bounds(small.replace("й", "и"), face=face)[3] - 14) < 0.6


def test_carons_of_tall_letters_stand_beside_them():
    assert bounds("ď")[3] == pytest.approx(21, abs=0.5)
    assert measure("ď", height=21).advance > measure("d", height=21).advance
    assert bounds("č")[3] > 14 + 2


def test_latvian_commas_hang_below_except_under_g():
    assert bounds("ķ")[1] < -4
    assert bounds("ģ")[3] > bounds("g")[3] + 2
    assert bounds("ģ")[1] == bounds("g")[1]


def test_typographic_dashes_differ_in_length_and_stand_at_half_the_small_letters():
    widths = [bounds(dash)[2] - bounds(dash)[0] for dash in "-–—"]
    assert widths == pytest.approx([8, 14, 26])
    assert bounds("-")[1] == pytest.approx(7)


def test_quotes_pair_up_and_the_apostrophe_is_the_closing_one():
    assert lettering("don't") == lettering("don’t")
    assert len(lettering("“")) == 2 * len(lettering("‘"))


def test_raised_and_lowered_text_is_small_and_off_the_base_line():
    high = bounds("A" + superscript("n"))[3]
    low = bounds("A" + subscript("2"))[1]
    plain = bounds("2")
    assert high <= 21
    assert bounds(superscript("2"))[3] == pytest.approx(10.5 + 0.6 * plain[3])
    assert low == pytest.approx(-5)
    assert measure(superscript("2"), height=10).advance == pytest.approx(
        0.6 * measure("2", height=10).advance
    )


def test_unicode_superscripts_are_the_raised_figures():
    assert lettering("m²") == lettering("m" + superscript("2"))
    assert lettering("H₂O") == lettering("H" + subscript("2") + "O")


def test_a_fraction_is_as_high_as_a_capital():
    _, bottom, _, top = bounds("¾")
    assert bottom == pytest.approx(0, abs=0.7)
    assert top == pytest.approx(21, abs=0.7)


@pytest.mark.parametrize("letter", list("øØđĐðÐłŁħĦŧŦæÆœŒßþÞŋŊıſəȷ"))
def test_special_letters_differ_from_the_letters_they_are_made_of(letter):
    for plain in "oOdDlLhHtTaAebBpPnNisfj":
        assert lettering(letter) != lettering(plain)


@pytest.mark.parametrize("face", ["script simplex", "gothic english", "roman triplex"])
def test_thorn_is_no_p(face):
    assert lettering("Þ", face=face) != lettering("P", face=face)
    assert lettering("þ", face=face) != lettering("p", face=face)
