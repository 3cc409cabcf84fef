from __future__ import annotations

import pytest

from plotlib.gcode.reading.lines import Fault, key, parse
from plotlib.gcode.reading.vocabulary import command_of


def words(text: str) -> tuple[tuple[str, float], ...]:
    return parse(text).words


def test_words_keep_their_order_and_blanks_and_case_do_not_matter() -> None:
    assert words("G1 X-2.50 Y+3 F100") == (("G", 1), ("X", -2.5), ("Y", 3), ("F", 100))
    assert words("  g1\tx 1 2 . 5") == (("G", 1), ("X", 12.5))
    assert words("") == ()


def test_comments_part_words_and_messages_are_kept() -> None:
    line = parse("G0 (to the left) X1 (MSG, change the pen) Y2 (done)")
    assert line.words == (("G", 0), ("X", 1), ("Y", 2))
    assert line.message == "change the pen"
    assert parse("( m s g ,hello)").message == "hello"
    assert parse("(MSG without a comma)").message is None


@pytest.mark.parametrize("text", ["(a (b) c)", "G1 (open X1", "G1 X1) Y2", "(a))", "("])
def test_comments_close_on_their_line_and_are_not_nested(text: str) -> None:
    with pytest.raises(Fault, match="a comment must open and close on the same line"):
        parse(text)


def test_semicolons_only_where_they_are_allowed() -> None:
    with pytest.raises(Fault, match="semicolon comments"):
        parse("G1 X1 ; to (here")
    assert parse("G1 X1 ; to (here", semicolons=True).words == (("G", 1), ("X", 1))
    assert parse("(a; b) G1 X1").words == (("G", 1), ("X", 1))


def test_block_delete_and_line_number_stand_first() -> None:
    line = parse("/N10 G1 X1")
    assert (line.deleted, line.number) == (True, 10)
    with pytest.raises(Fault, match="block delete"):
        parse("N10 /G1 X1")
    with pytest.raises(Fault, match="N word"):
        parse("G1 N10 X1")
    with pytest.raises(Fault, match="N word"):
        parse("N10 N20 G1")
    with pytest.raises(Fault, match="N word"):
        parse("N-5 G1")


@pytest.mark.parametrize(
    "text", ["X.", "X", "G1 X-", "X--1", "X1.2.3", "12", "X=3", "G1 ?", "@H", "X1,5"]
)
def test_what_is_no_word_is_named(text: str) -> None:
    with pytest.raises(Fault, match=r"cannot read|not followed by a plain decimal number"):
        parse(text)


@pytest.mark.parametrize("text", ["X#5", "X[1+2]", "#3=15"])
def test_parameters_and_expressions_are_refused_by_name(text: str) -> None:
    with pytest.raises(Fault, match=r"parameters and expressions|not followed by a plain"):
        parse(text)


def test_a_zero_byte_is_no_text() -> None:
    with pytest.raises(Fault, match="zero byte"):
        parse("G1 X1\0")


def test_the_key_of_a_line_tells_whether_two_lines_say_the_same() -> None:
    assert key("n20 m3 s90 (down) ; now") == key("M3 S90") == "M3S90"
    assert key("(nothing)") == ""
    assert key("@h") == "@H"


def test_a_command_sorts_the_words_of_a_line() -> None:
    command = command_of("G1 X1 M3 S90 G90 F100 Q4 T1 M6")
    assert command.modal == {"motion": "G1", "spindle": "M3", "distance": "G90"}
    assert command.values == {"X": 1, "S": 90, "F": 100}
    assert command.unknown == ("Q4",)
    assert command.tools == ("T1", "M6")
    assert command.touches == {"motion", "spindle", "geometry", "feed"}


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("G0 G1 X1", "G0 and G1 on one line"),
        ("G90 G91", "distance"),
        ("M3 M5", "spindle"),
        ("M0 M2", "stop"),
        ("X1 X2", "two X words"),
        ("F1 F1", "two F words"),
        ("M3 M7 M8 M9 M48", "more than four M words"),
    ],
)
def test_a_line_takes_one_word_of_each_group_and_letter(text: str, reason: str) -> None:
    with pytest.raises(Fault, match=reason):
        command_of(text)


@pytest.mark.parametrize(
    "code",
    [
        "G0 X\u0661\u0662",
        "G0 X\uff11\uff12",
        "G0\u00a0X1",
        "g0 x1 \u0131",
        "M3 \u017f90",
        "G0 X1\u2028Y2",
        "\ufeffG21",
        "G0 X1 \ud800",
    ],
)
def test_other_than_ascii_stands_in_comments_only(code: str) -> None:
    with pytest.raises(Fault, match="outside a comment"):
        parse(code)
    assert parse("G0 X1 (été \u0661)").words == (("G", 0.0), ("X", 1.0))


@pytest.mark.parametrize("code", ["G0 X1\x0bY2", "G0\x0cX1", "G0 X1\x1c"])
def test_blanks_are_spaces_and_tabs(code: str) -> None:
    with pytest.raises(Fault, match="cannot read"):
        parse(code)


def test_letters_that_only_look_like_a_declared_line_are_not_it() -> None:
    assert key("m3 s90") == "M3S90"
    assert key("m3 \u017f90") != "M3S90"


@pytest.mark.parametrize(
    ("text", "column"),
    [
        ("@H", 1),
        ("G1 X 1 Y?", 8),
        ("/N20 (to the left) G1 ( ) x--1", 27),
        ("G1 X1 N5", 7),
        ("  G1 X1 Y#3 ; there", 9),
    ],
)
def test_the_column_of_what_cannot_be_read_is_named(text: str, column: int) -> None:
    with pytest.raises(Fault) as caught:
        parse(text, semicolons=True)
    assert caught.value.column == column


@pytest.mark.parametrize(("text", "column"), [("X1E5", 3), ("G1 Y2.e-3", 7), ("(E) x1 y.5E+1", 11)])
def test_exponents_are_refused_and_words_with_a_blank_are_not(text: str, column: int) -> None:
    with pytest.raises(Fault, match="exponent") as caught:
        parse(text)
    assert caught.value.column == column
    assert words("G1 X1 E5 (2E3)") == (("G", 1), ("X", 1), ("E", 5))
