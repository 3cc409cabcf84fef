"""Laws of lettering: whatever the text, face and size."""

from __future__ import annotations

import math
import unicodedata

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from plotlib import Drawing
from plotlib.errors import InvalidValue, PlotlibError
from plotlib.text import along, boxed, faces, lettering, measure
from plotlib.text.glyphs.faces import face_of, glyph_of

BLOCKS = [(0x21, 0x7F), (0xA1, 0x180), (0x218, 0x21C), (0x391, 0x3CA), (0x410, 0x450)]
PRINTED = [
    c
    for block in BLOCKS
    for c in map(chr, range(*block))
    if unicodedata.category(c) not in {"Cn", "Cf"}
]
EUROPEAN = [c for c in PRINTED if glyph_of(face_of("roman simplex"), c) is not None]
TEXTS = st.text(st.sampled_from([*EUROPEAN, " ", " ", "\n"]), max_size=40)
HEIGHTS = st.floats(0.5, 60.0)
FACES = st.sampled_from(faces())
MODERATE = settings(max_examples=60, deadline=None)


@MODERATE
@given(
    TEXTS,
    FACES,
    HEIGHTS,
    st.floats(-40, 40),
    st.floats(0.4, 2.0),
    st.floats(-0.5, 3.0),
    st.floats(-180, 180),
)
def test_any_supported_text_is_finite_and_inside_what_measure_says(
    text, face, height, slant, width, tracking, angle
):
    options = {
        "face": face,
        "height": height,
        "slant": slant,
        "width": width,
        "tracking": tracking,
        "angle": angle,
        "at": (12.0, -7.0),
    }
    drawing = lettering(text, **options)
    taken = measure(text, **options)
    assert np.isfinite(drawing.points).all()
    assert drawing.bounds == taken.ink
    assert len(taken.lines) == text.count("\n") + 1
    assert taken.advance == max(0.0, *taken.advances)


@MODERATE
@given(st.text(st.sampled_from("HEFILTKXMN"), min_size=1, max_size=6), FACES, HEIGHTS)
def test_capitals_are_as_high_as_asked_at_the_middle_of_their_ink(text, face, height):
    _, bottom, _, top = measure(text, face=face, height=height).ink or (0, 0, 0, 0)
    assert top == pytest.approx(height, abs=0.01)
    if face != "gothic german":  # whose H, K and X have flourishes below the base line
        assert bottom == pytest.approx(0.0, abs=0.01)


@MODERATE
@given(TEXTS, TEXTS, FACES)
def test_the_second_text_begins_where_the_first_ends(first, second, face):
    first = first.replace("\n", " ")
    second = second.replace("\n", " ")
    end = measure(first, face=face).end
    whole = measure(first + second, face=face)
    assert measure(second, face=face, at=end).end == pytest.approx(whole.end, abs=1e-9)


@MODERATE
@given(TEXTS, FACES, st.floats(-720, 720))
def test_turning_turns_and_keeps_every_length(text, face, angle):
    straight = lettering(text, face=face)
    turned = lettering(text, face=face, angle=angle)
    np.testing.assert_allclose(turned.points, straight.turned(angle).points, atol=1e-9)
    assert turned.length == pytest.approx(straight.length, rel=1e-9)


@MODERATE
@given(
    TEXTS,
    FACES,
    st.sampled_from(["left", "centre", "right"]),
    st.sampled_from(["baseline", "top", "middle", "bottom"]),
)
def test_alignment_and_anchor_only_move_lines(text, face, align, level):
    plain = lettering(text, face=face)
    moved = lettering(text, face=face, align=align, anchor=level)
    assert len(plain) == len(moved)
    assert moved.length == pytest.approx(plain.length, abs=1e-9)


words = st.lists(
    st.text(st.sampled_from("abcdefghilmnoprstuvwåéü"), min_size=1, max_size=9),
    min_size=1,
    max_size=60,
)


@MODERATE
@given(
    words,
    st.sampled_from(["roman simplex", "roman triplex", "italic complex", "gothic english"]),
    st.floats(2, 6),
    st.floats(-10, 20),
)
def test_justified_lines_reach_both_edges(words, face, height, slant):
    text = " ".join(words)
    width = 90.0
    options = {"face": face, "height": height, "slant": slant, "wrap": width}
    lines = measure(text, align="justified", **options).lines
    assert " ".join(lines).split() == text.split()
    drawing = lettering(text, align="justified", leading=50.0, **options)
    for number, line in enumerate(lines[:-1]):
        if " " not in line:
            continue
        band = drawing.clipped(_strip(number * 50.0, height))
        left, _, right, _ = band.bounds
        assert left == pytest.approx(0.0, abs=0.01)
        assert right == pytest.approx(width, abs=0.01)


def _strip(down: float, height: float):
    import shapely

    return shapely.box(-200.0, -down, 300.0, -down + height)


@MODERATE
@given(words, st.floats(20, 150))
def test_wrapped_lines_fit_and_say_the_same(words, width):
    text = " ".join(words)
    longest = max(measure(word, height=4).advance for word in words)
    if longest > width * (1 + 1e-9):
        with pytest.raises(InvalidValue) as caught:
            measure(text, height=4, wrap=width)
        assert caught.value.facts["excess"] == pytest.approx(longest - width, abs=1e-9)
        return
    taken = measure(text, height=4, wrap=width)
    assert taken.advance <= width * (1 + 1e-9)
    assert " ".join(taken.lines).split() == text.split()


@MODERATE
@given(
    st.text(st.sampled_from("AbcdeFgHijkl xyz"), min_size=1, max_size=20),
    FACES,
    st.sampled_from(["left", "right"]),
    st.floats(30, 400),
    st.floats(-3, 3),
)
def test_text_along_a_curve_keeps_its_length(text, face, side, radius, bend):
    turn = np.linspace(0.0, 1.9 * math.pi, 4000)
    curve = np.column_stack(
        [radius * np.cos(turn), radius * np.sin(turn) + bend * np.sin(5 * turn)]
    )
    straight = lettering(
        text, face=face, height=3, tracking=1e-9
    )  # handwriting does not join on a curve
    bent = along(text, curve, face=face, height=3, side=side, align="centre")
    assert len(bent) == len(straight)
    np.testing.assert_allclose(
        bent.lengths, straight.lengths, rtol=1e-9, atol=1e-9
    )  # letters stay rigid


@pytest.mark.parametrize("side", ["left", "right"])
def test_along_a_straight_curve_is_the_straight_lettering(side):
    curve = [(5.0, 8.0), (30.0, 8.0), (31.0, 8.0), (105.0, 8.0)]
    bent = along("Tide table 12½", curve, side=side, height=4)
    angle, at = (0.0, (5.0, 8.0)) if side == "left" else (180.0, (105.0, 8.0))
    straight = lettering("Tide table 12½", height=4, at=at, angle=angle)
    np.testing.assert_allclose(bent.points, straight.points, atol=1e-9)


@MODERATE
@given(words, st.floats(20, 120), st.floats(15, 80), st.sampled_from(["top", "middle", "bottom"]))
def test_text_in_a_box_stays_in_it(words, width, height, level):
    import shapely

    note = boxed(" ".join(words), shapely.box(3, 4, 3 + width, 4 + height), level=level)
    left, bottom, right, top = note.bounds
    assert left >= 3 - 1e-9
    assert right <= 3 + width + 1e-9
    assert bottom >= 4 - 1e-9
    assert top <= 4 + height + 1e-9


def _lettered_or_refused(text: str) -> Drawing | PlotlibError:
    try:
        return lettering(text)
    except PlotlibError as error:
        return error


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=30))
@example("a\ufb2a")
def test_any_string_at_all_is_lettered_or_refused_with_its_place(text):
    result = _lettered_or_refused(text)
    if isinstance(result, Drawing):
        assert np.isfinite(result.points).all()
    else:
        place = result.facts["position"]
        assert 0 <= place < len(text)
        assert unicodedata.normalize("NFC", text[place:]).startswith(result.facts["character"][0])
    assert isinstance(lettering(text, missing="?"), Drawing)
    assert isinstance(lettering(text, missing=""), Drawing)
