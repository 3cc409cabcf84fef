"""lettering(): placing, alignment, anchors, refusals."""

import numpy as np
import pytest
import shapely

import plotlib as pl
from plotlib.text import lettering, measure

TWO = "Outer Holm\nquay"


def test_options_are_keyword_only_and_the_pen_is_used():
    pen = pl.Pen("blue", width=0.5)
    assert lettering("A", pen=pen).pens == (pen,)
    with pytest.raises(TypeError):
        lettering("A", 5.0)


@pytest.mark.parametrize(
    "text", ["", " ", "\n", "\n\n\n", "   \n \t ", "\u200e\u200f\ufeff", "\u00a0\u2003"]
)
def test_text_without_ink_is_an_empty_drawing(text):
    drawing = lettering(text)
    taken = measure(text)
    assert len(drawing) == 0
    assert taken.ink is None
    assert len(taken.baselines) == text.count("\n") + 1
    assert len(lettering(text, wrap=50, align="justified")) == 0


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r", "\u2028", "\u2029", "\x85"])
def test_every_kind_of_line_end_ends_a_line(ending):
    assert lettering(f"ab{ending}cd") == lettering("ab\ncd")


REFUSED = {
    "\x00": 0,
    "\x07": 7,
    "\x1b": 27,
    "\x9f": 0x9F,
    "😀": 0x1F600,
    "ש": 0x5E9,
    "\ud800": 0xD800,
}


@pytest.mark.parametrize(("character", "code"), REFUSED.items())
def test_what_no_face_has_is_named_with_its_place(character, code):
    with pytest.raises(pl.InvalidValue, match=f"U\\+{code:04X}") as caught:
        lettering(f"Quay\nno {character}")
    assert (caught.value.code, caught.value.position, caught.value.line, caught.value.column) == (
        code,
        8,
        2,
        4,
    )
    assert "missing=" in str(caught.value)


@pytest.mark.parametrize("mark", ["\u202e", "\u202b", "\u2067"])
def test_marks_that_would_turn_the_direction_are_refused_not_ignored(mark):
    with pytest.raises(pl.InvalidValue):
        lettering(f"a{mark}b")


@pytest.mark.parametrize("mark", ["\u200e", "\u200f", "\u200d", "\ufe0f", "\u2060"])
def test_silent_characters_change_nothing(mark):
    assert lettering(f"a{mark}b") == lettering("ab")


def test_missing_replaces_or_leaves_out():
    assert lettering("a😀b", missing="?") == lettering("a?b")
    assert lettering("a😀b", missing="") == lettering("ab")
    for bad in ("😀", "ab", 3):
        with pytest.raises(pl.InvalidValue, match="missing"):
            lettering("ab", missing=bad)


def test_the_place_of_a_missing_character_counts_the_text_as_given():
    with pytest.raises(pl.InvalidValue) as caught:
        lettering("e\u0301\r\nx😀")
    assert caught.value.position == 5


@pytest.mark.parametrize("text", [None, 5, b"bytes", ["a"]])
def test_text_must_be_a_string(text):
    with pytest.raises(pl.InvalidValue, match="string"):
        lettering(text)


@pytest.mark.parametrize(
    "options",
    [
        {"height": 0},
        {"height": -1},
        {"height": float("nan")},
        {"slant": 61},
        {"width": 0},
        {"tracking": float("inf")},
        {"leading": float("nan")},
        {"wrap": 0},
        {"angle": float("nan")},
        {"at": (1, 2, 3)},
        {"align": "justified"},
        {"anchor": "top left right"},
        {"anchor": "upper"},
        {"anchor": ""},
        {"anchor": "left left"},
    ],
)
def test_bad_options_are_refused(options):
    with pytest.raises(pl.InvalidValue):
        lettering("a", **options)


@pytest.mark.parametrize("options", [{"face": "roman"}, {"align": "center"}])
def test_unknown_names_list_the_known_ones(options):
    with pytest.raises(pl.UnknownName, match=r"roman simplex|centre"):
        lettering("a", **options)


def test_height_is_the_middle_of_the_ink_to_a_hundredth():
    for height in (1.8, 3.5, 10, 200):
        assert lettering("H", height=height, at=(3, 4)).bounds[1::2] == pytest.approx(
            (4, 4 + height), abs=0.01
        )


def test_width_tracking_and_slant():
    plain = measure("HOLM", height=10)
    wide = measure("HOLM", height=10, width=1.5)
    assert wide.advance == pytest.approx(1.5 * plain.advance)
    assert measure("HOLM", height=10, tracking=2).advance == pytest.approx(plain.advance + 3 * 2)
    leaning = lettering("HOLM", height=10, slant=20).points
    upright = lettering("HOLM", height=10).points
    np.testing.assert_allclose(
        leaning[:, 0] - upright[:, 0], np.tan(np.radians(20)) * upright[:, 1], atol=1e-12
    )
    np.testing.assert_array_equal(leaning[:, 1], upright[:, 1])


def test_word_space_is_the_width_of_a_space():
    words = measure("low").advance + measure("water").advance
    assert measure("low water", word_space=1.5).advance == pytest.approx(words + 1.5)
    assert measure("low\u00a0water", word_space=0).advance == pytest.approx(words)
    assert measure("low water").advance == pytest.approx(words + 16 / 21 * 5)
    with pytest.raises(pl.InvalidValue):
        measure("low water", word_space=-1)


def test_alignment_of_lines():
    taken = {align: measure(TWO, align=align) for align in ("left", "centre", "right")}
    assert {round(x, 9) for x, _ in taken["left"].baselines} == {0.0}
    for (x, _), advance in zip(taken["centre"].baselines, taken["centre"].advances, strict=True):
        assert x == pytest.approx(-advance / 2)
    for (x, _), advance in zip(taken["right"].baselines, taken["right"].advances, strict=True):
        assert x == pytest.approx(-advance)


def test_leading_and_levels():
    lines = {
        level: measure(TWO, height=5, leading=9, anchor=level).baselines
        for level in ("baseline", "top", "middle", "bottom")
    }
    ys = {level: [y for _, y in found] for level, found in lines.items()}
    assert ys["baseline"] == [0, -9]
    assert ys["top"] == pytest.approx([-5, -14])
    assert ys["bottom"] == pytest.approx([9, 0])
    assert ys["middle"] == pytest.approx([2, -7])


SIDES = {"left": 0.0, "centre": -0.5, "right": -1.0, "baseline right": -1.0, "right baseline": -1.0}


@pytest.mark.parametrize(("anchor", "x"), SIDES.items())
def test_sides_of_the_block(anchor, x):
    taken = measure("Holm", anchor=anchor)
    assert taken.baseline[0] == pytest.approx(x * taken.advance)


def test_turning_is_about_the_anchor_and_quarter_turns_are_exact():
    straight = lettering("H", height=10, at=(7, 9))
    turned = lettering("H", height=10, at=(7, 9), angle=90)
    np.testing.assert_allclose(turned.points, straight.turned(90, about=(7, 9)).points, atol=1e-12)
    assert turned.bounds[0::2] == (
        -3.0,
        7.0,
    )  # a cap height of 10 to the left of the base line x = 7


def test_wrapping_breaks_at_spaces_dashes_and_soft_hyphens():
    assert measure("low-water mark", height=5, wrap=30).lines == ("low-", "water", "mark")
    assert measure("harbour\u00admaster", height=5, wrap=40).lines == ("harbour-", "master")
    assert (
        measure("harbour\u00admaster", height=5).advance
        == measure("harbourmaster", height=5).advance
    )
    assert measure("a\u200bb", height=5, wrap=6).lines == ("a\u200b", "b")
    assert measure("Holm\u00a0quay", height=5, wrap=60).lines == ("Holm\u00a0quay",)


def test_paragraphs_and_blank_lines_stay_when_wrapping():
    assert measure("one two\n\nthree", height=5, wrap=100).lines == ("one two", "", "three")


def test_a_word_longer_than_the_line_is_named():
    with pytest.raises(pl.InvalidValue, match="'harbourmaster'") as caught:
        lettering("the harbourmaster", height=5, wrap=20)
    assert caught.value.excess == pytest.approx(measure("harbourmaster", height=5).advance - 20)


def test_lines_break_as_evenly_as_possible():
    # taking as many words as fit would leave lines of 3, 3 and 1 words; the sum of squared room is
    # least with 2, 2 and 3
    text = "aaa bb cc ddddd"
    unit = measure("aaa bb", height=5).advance
    assert measure(text, height=5, wrap=unit * 1.02).lines == ("aaa", "bb cc", "ddddd")


def test_justified_stretches_spaces_only_and_leaves_last_lines():
    text = "the ferry leaves at half tide from the inner quay"
    plain, spread = (
        measure(text, height=4, wrap=70, align=align) for align in ("left", "justified")
    )
    assert plain.lines == spread.lines
    assert spread.advances[-1] == pytest.approx(plain.advances[-1])
    assert all(b > a for a, b in zip(plain.advances[:-1], spread.advances[:-1], strict=True))
    letters = [lettering(text, height=4, wrap=70, align=align) for align in ("left", "justified")]
    assert letters[1].length == pytest.approx(letters[0].length)


def test_handwriting_runs_on_from_letter_to_letter():
    joined = lettering("illi", face="script simplex")
    apart = lettering("illi", face="script simplex", tracking=1e-9)
    assert joined.length == pytest.approx(apart.length, rel=1e-6)
    assert len(joined) == 3  # the word in one go, and two dots
    assert len(apart) == 6


def test_handwriting_lifts_between_words_and_lines():
    assert len(lettering("mm mm", face="script simplex")) == 2 * len(
        lettering("mm", face="script simplex")
    )
    assert len(lettering("mm\nmm", face="script simplex")) == 2 * len(
        lettering("mm", face="script simplex")
    )


def test_within_says_by_how_much_and_where():
    sheet = pl.Sheet(60, 30, margin=5)
    assert len(lettering("Holm", height=5, at=(8, 10), within=sheet)) > 0
    with pytest.raises(pl.OutsideEnvelope, match="right") as caught:
        lettering("Skerrow harbour", height=5, at=(8, 10), within=sheet)
    right = lettering("Skerrow harbour", height=5, at=(8, 10)).bounds[2]
    assert (caught.value.side, caught.value.excess) == ("right", pytest.approx(right - 55))
    with pytest.raises(pl.OutsideEnvelope, match="top"):
        lettering("Holm", height=5, at=(8, 23), within=sheet)


def test_within_any_area():
    disc = shapely.Point(0, 0).buffer(20)
    assert len(lettering("Holm", height=4, align="centre", anchor="middle", within=disc))
    with pytest.raises(pl.OutsideEnvelope) as caught:
        lettering("Holm", height=4, at=(12, 12), within=disc)
    assert caught.value.excess > 0
    with_hole = shapely.box(-50, -50, 50, 50).difference(shapely.box(1, 1, 3, 3))
    with pytest.raises(pl.OutsideEnvelope, match="edge"):
        lettering("HHH", height=4, at=(-1, 0), within=with_hole)


def test_a_hundred_thousand_characters():
    text = ("Half-tide ferries run all summer; naïve æ. " * 2400)[:100_000]
    drawing = lettering(text, height=2, wrap=180, align="justified")
    assert len(drawing) > 100_000
    left, bottom, right, _ = drawing.bounds
    assert left > -1
    assert right < 181
    assert bottom < -1000


def test_the_room_of_text_is_light_to_import():
    import subprocess
    import sys

    heavy = "{'numba', 'scipy', 'PIL', 'uharfbuzz', 'contourpy', 'fontTools'}"
    code = "import sys, plotlib.text; plotlib.text.lettering('quick'); "
    code += f"print(sorted({heavy} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


LONG = (
    "We have had nine days of wind. On the sixth the old mark on the outer skerry went, with its "
    "ladder, and since then the lamp stands alone. Nobody was hurt. The terns did not mind at all: "
    "they sat in the lee of the boathouse in rows, like clerks, and shouted at the sea."
)


def gaps(stretch):
    """Room between the words of justified lines, mm; from the ink of single strokes."""
    lines = {}
    drawn = lettering(
        LONG, height=3, leading=40, wrap=90, align="justified", stretch=stretch, tracking=0.01
    )
    for stroke in drawn:
        lines.setdefault(round(-stroke[:, 1].mean() / 40), []).append(stroke[:, 0])
    found = []
    for strokes in list(lines.values())[:-1]:
        spans = sorted((x.min(), x.max()) for x in strokes)
        reach = np.maximum.accumulate([high for _, high in spans])
        found += [low - before for (low, _), before in zip(spans[1:], reach, strict=False)]
    return np.array(found)


def test_letters_that_may_stretch_close_wide_gaps():
    wide, even = gaps(0.0), gaps(0.04)
    assert wide.max() > 6.5
    assert even.max() < 4.1
    drawn = lettering(LONG, height=3, wrap=90, align="justified", stretch=0.04)
    assert measure(LONG, height=3, wrap=90, align="justified", stretch=0.04).ink == pytest.approx(
        drawn.bounds
    )
    assert drawn.bounds[2] <= 90 + 1


def test_stretched_letters_change_by_no_more_than_was_allowed():
    plain = measure(LONG, height=3, wrap=90)
    some = measure(LONG, height=3, wrap=90, align="justified", stretch=0.04)
    assert " ".join(some.lines) == " ".join(plain.lines) == LONG
    assert max(some.advances) < 90 + 2  # the room beside the ink of the first and the last letter


def test_a_wobble_makes_letters_differ_and_keeps_them_joined():
    even = lettering("eeee", face="script simplex", height=4)
    hand = lettering("eeee", face="script simplex", height=4, wobble=0.05, seed=3)
    assert len(hand) == len(even)
    assert len(hand.points) == len(even.points)
    away = np.hypot(*(hand.points - even.points).T)
    assert 0.02 < away.mean() < 0.3
    assert away.max() < 0.6
    assert hand == lettering("eeee", face="script simplex", height=4, wobble=0.05, seed=3)
    assert hand != lettering("eeee", face="script simplex", height=4, wobble=0.05, seed=4)
    assert even == lettering("eeee", face="script simplex", height=4, wobble=0.0, seed=4)


@pytest.mark.parametrize(
    ("text", "character", "position"),
    [
        ("ab\u672c\u65e5", "\u672c", 2),  # the first, not the least by its number
        ("a\ufb2ab", "\u05e9", 1),  # one code point that is always written as two
        ("a\u05c1", "\u05c1", 1),
        ("a\u1100\u1161\u11a8", "\uac01", 1),  # three that are written as one
    ],
)
def test_the_first_character_without_a_glyph_is_named_with_its_place(text, character, position):
    """Unicode Standard Annex 15, which forms are composed and which are not: as Python has it."""
    with pytest.raises(pl.InvalidValue) as caught:
        lettering(text)
    assert (caught.value.character, caught.value.position) == (character, position)
