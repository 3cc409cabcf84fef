from __future__ import annotations

import hypothesis.strategies as st
import pytest
from hypothesis import given

from plotlib.gcode.comments import comment_lines, message_line, plain


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
    assert len(message_line(text, longest=longest)) <= longest
