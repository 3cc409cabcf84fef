"""Glyphs of the Hershey repertory against published records and figures.

Sources: A. V. Hershey, Calligraphy for Computers, NWL Report 2101, 1967, and N. M. Wolcott, J.
Hilsenrath, NBS Special Publication 424, 1976, in the arrangement by James Hurt, whose notice
accompanies the data and prints glyph 8 as its example. Advances, stroke counts and ink lengths are
sums over the published coordinates.
"""

from __future__ import annotations

from functools import partial
from importlib import resources

import numpy as np
import pytest

from plotlib.text import lettering, measure
from plotlib.text.glyphs.records import Record, characters, decoded, record
from tests.outside import READ, published

known = partial(
    published,
    module="text",
    source="A. V. Hershey 1967 and NBS SP 424, 1976, in J. Hurt's arrangement",
    kind=READ,
)


# Where the distribution's arrangement by ASCII code has another sign than Unicode: code ->
# character in our file.
_ELSEWHERE = {"'": "’", "`": "‘", "^": "↑", "-": "−"}


def published(character: str) -> Record:
    found = record("roman simplex", _ELSEWHERE.get(character, character))
    assert found is not None
    return found


def ink(records: list[Record]) -> float:
    return sum(
        float(np.hypot(*np.diff(stroke, axis=0).T).sum())
        for found in records
        for stroke in found.strokes
    )


@known(
    printed=[[[-3, -5], [-3, 4]], [[3, -5], [3, 4]], [[-3, -1], [3, -1]]],
    claim="glyph 8 of the notice is an H",
)
def test_the_notice_s_example_glyph_8_is_an_h(printed):
    found = decoded("MWOMOV RUMUV ROQUQ", number=8)
    assert (found.left, found.right) == (-5, 5)
    assert [stroke.tolist() for stroke in found.strokes] == printed


@known(column="number pairs")
@pytest.mark.parametrize(
    ("character", "number", "pairs"),
    [
        (" ", 699, "JZ"),
        ("A", 501, "I[RFJ[ RRFZ[ RMTWT"),
        ("!", 714, "MWRFRT RRYQZR[SZRY"),
    ],
)
def test_records_are_the_published_ones(character, number, pairs):
    found = published(character)
    wanted = decoded(pairs)
    assert (found.number, found.left, found.right) == (number, wanted.left, wanted.right)
    assert [stroke.tolist() for stroke in found.strokes] == [
        stroke.tolist() for stroke in wanted.strokes
    ]


@known(printed=[[[-7, -12], [-7, 9]], [[7, -12], [7, 9]], [[-7, -2], [7, -2]]])
def test_coordinates_of_the_letter_h(printed):
    assert published("H").number == 508
    assert [stroke.tolist() for stroke in published("H").strokes] == printed


@known(column="advance strokes length", abs=1e-6, claim="advance, strokes and ink of single glyphs")
@pytest.mark.parametrize(
    ("character", "number", "advance", "strokes", "length"),
    [
        ("A", 501, 18, 3, 54.944410),
        ("H", 508, 22, 3, 56.0),
        ("I", 509, 8, 1, 21.0),
        ("O", 515, 22, 1, 59.851363),
        ("S", 519, 20, 1, 55.060073),
        ("!", 714, 10, 2, 19.656854),
        ("+", 725, 26, 2, 36.0),
        ("0", 700, 20, 1, 57.467394),
        ("a", 601, 19, 2, 48.582536),
        ("g", 607, 19, 2, 62.631163),
        ("x", 624, 17, 2, 35.608988),
    ],
)
def test_advance_strokes_and_ink_of_single_glyphs(
    character, number, advance, strokes, length, within
):
    found = published(character)
    assert (found.number, found.right - found.left, len(found.strokes)) == (
        number,
        advance,
        strokes,
    )
    assert ink([found]) == within.of(length)


@known(column="advance strokes length", abs=1e-6, claim="advance, strokes and ink of words")
@pytest.mark.parametrize(
    ("text", "advance", "strokes", "length"),
    [
        ("HELLO", 97, 12, 236.851363),
        ("HELLO WORLD", 218, 24, 546.492483),
        ("0123456789", 200, 12, 542.436857),
    ],
)
def test_advance_strokes_and_ink_of_words(text, advance, strokes, length, within):
    records = [published(character) for character in text]
    assert sum(found.right - found.left for found in records) == advance
    assert sum(len(found.strokes) for found in records) == strokes
    assert ink(records) == within.of(length)
    # and lettered: at a cap height of 21 mm a unit is a millimetre; joining strokes changes neither
    # advance nor ink
    assert measure(text, height=21).advance == pytest.approx(advance, abs=1e-9)
    assert lettering(text, height=21).length == within.of(length)
    assert len(lettering(text, height=21)) <= strokes


@known(
    printed={"strokes": 188, "ink": 4483.612481},
    abs=1e-6,
    claim="strokes and ink of all printable characters",
)
def test_all_of_the_printable_characters(within, printed):
    records = [published(chr(code)) for code in range(32, 127)]
    assert sum(len(found.strokes) for found in records) == printed["strokes"]
    assert ink(records) == within.of(printed["ink"])


@known(
    printed={"HELLO": (23.095238, 56.393182), "A": (8.571429, 26.164005)},
    abs=1e-6,
    claim="advance and ink of words at 5 and 10 mm",
)
def test_words_at_a_height_in_millimetres(within, printed):
    for word, height in (("HELLO", 5), ("A", 10)):
        advance, length = printed[word]
        assert measure(word, height=height).advance == within.of(advance)
        assert lettering(word, height=height).length == within.of(length)


@known(
    printed=[[[17.0, 0.0], [9.0, 21.0], [1.0, 0.0]], [[4.0, 7.0], [14.0, 7.0]]],
    claim="the published A stands on the base line, y up",
)
def test_the_published_a_stands_on_the_base_line_with_y_up(printed):
    joined = [stroke.tolist() for stroke in lettering("A", height=21)]
    assert joined == printed


@known()
def test_both_acknowledgements_travel_with_the_data():
    folder = resources.files("plotlib.text") / "data"
    text = (folder / "ACKNOWLEDGEMENT.txt").read_text("ascii")
    for words in (
        "Dr. A. V. Hershey",
        "National Bureau of Standards",
        "James Hurt",
        "Cognition, Inc.",
        "900 Technology Park Drive",
    ):
        assert words in text


@known(printed=(1, 3999))
def test_numbers_of_the_repertory_stay_in_its_range(printed):
    numbers = [
        found.number
        for name in ("roman simplex", "roman triplex")
        for c in characters(name)
        if (found := record(name, c))
    ]
    numbered = [number for number in numbers if number is not None]
    assert len(numbered) > 150
    assert min(numbered) >= printed[0]
    assert max(numbered) <= printed[1]
