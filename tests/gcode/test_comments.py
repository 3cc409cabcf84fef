from __future__ import annotations

import hypothesis.strategies as st
import pytest
from hypothesis import given

from plotlib.gcode.comments import comment_lines, pen_labels, pen_message, plain
from plotlib.pen import Pen


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Tide chart, 12.5 x 8 mm: north-west", "Tide chart, 12.5 x 8 mm: north-west"),
        ("Åsöy naïve", "Asoy naive"),
        ("a(b)c;d%e!f~g?h$i@j", "a-b-c-d-e-f-g-h-i-j"),
        ("line\nbreak\ttab", "line break tab"),
        ("½ ﬁ", "1-2 fi"),
        ("", ""),
    ],
)
def test_plain_replaces_by_the_stated_rule(text: str, expected: str) -> None:
    assert plain(text) == expected


@given(st.text(max_size=300), st.integers(20, 256))
def test_comment_lines_are_short_plain_and_lose_no_letter(text: str, longest: int) -> None:
    lines = comment_lines(text, longest=longest)
    assert all(
        len(line) <= longest and line.isascii() and line[0] == "(" and line[-1] == ")"
        for line in lines
    )
    assert all(not set(line[1:-1]) & set("()%;!~?\n") for line in lines)
    assert "".join(line[1:-1] for line in lines).replace(" ", "") == plain(text).replace(" ", "")
    (label,) = pen_labels(
        [Pen("".join(filter(str.isprintable, text)).strip() or "pen")], longest=longest
    )
    assert len(pen_message(label, Pen("pen", 0.123456), longest=longest)) <= longest


@given(
    st.lists(st.text("aAå:1 no", min_size=1, max_size=40), min_size=1, max_size=12, unique=True),
    st.integers(20, 256),
)
def test_labels_of_pens_differ_and_fit(names: list[str], longest: int) -> None:
    pens = [Pen(name) for name in names if name.strip()]
    labels = pen_labels(pens, longest=longest)
    assert len({label.upper() for label in labels}) == len(pens)
    messages = [
        pen_message(label, pen, longest=longest) for label, pen in zip(labels, pens, strict=True)
    ]
    assert len({message.upper() for message in messages}) == len(pens)
    assert all(len(message) <= longest for message in messages)
