import time

import numpy as np
import pytest

from plotlib.curves.rewriting import MOST_SYMBOLS, numbered, rewritten
from plotlib.errors import InvalidValue


def text(symbols):
    return "".join(map(chr, symbols))


def slowly(axiom, rules, depth):
    for _ in range(depth):
        axiom = "".join(rules.get(symbol, symbol) for symbol in axiom)
    return axiom


@pytest.mark.parametrize(
    ("axiom", "rules"),
    [
        ("A", {"A": "AB", "B": "A"}),
        ("X", {"X": "F-[[X]+X]+F[+FX]-X", "F": "FF"}),
        ("AB", {"A": "", "B": "BAB"}),
        ("α-ß", {"α": "ßα", "ß": "α😀"}),
        ("F", {}),
        ("", {"A": "AA"}),
        ("Q", {"A": "AA"}),
    ],
)
def test_rewriting_equals_the_slow_way(axiom, rules):
    for depth in range(5):
        assert text(rewritten(axiom, rules, depth)) == slowly(axiom, rules, depth)


def test_what_would_fill_the_memory_is_refused_at_once_with_the_count_and_the_way_out():
    begin = time.perf_counter()
    with pytest.raises(
        InvalidValue, match=r"at depth 24 of 60 .* 16,777,216 symbols.* fits is 23"
    ) as caught:
        rewritten("F", {"F": "FF"}, 60)
    assert time.perf_counter() - begin < 1.0
    assert (caught.value.depth, caught.value.symbols) == (24, 2**24)
    assert caught.value.symbols > MOST_SYMBOLS


def test_a_string_that_shrinks_on_the_way_is_judged_by_its_longest():
    with pytest.raises(InvalidValue, match="depth 4"):
        rewritten("A", {"A": "B" * 10_000, "B": "C" * 100, "C": "D" * 10, "D": "EE", "E": ""}, 5)


def test_numbers_stand_for_symbols_and_others_count_as_nothing():
    symbols = rewritten("F[+G]x", {}, 0)
    assert numbered(symbols, {"F": 1, "G": 1, "[": 6, "]": 7, "+": 3}).tolist() == [
        1,
        6,
        3,
        1,
        7,
        0,
    ]


def test_lengths_add_up_for_random_rules():
    rng = np.random.default_rng(5)
    for _ in range(20):
        rules = {symbol: "".join(rng.choice(list("ABC+"), rng.integers(0, 4))) for symbol in "ABC"}
        for depth in range(6):
            assert text(rewritten("ABCA", rules, depth)) == slowly("ABCA", rules, depth)
