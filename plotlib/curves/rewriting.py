"""Parallel rewriting: every symbol of a string is replaced by its rule's string, all at once, again
and again.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from plotlib.arrays.ragged import offsets_of
from plotlib.checks import IntArray
from plotlib.errors import InvalidValue

Symbols = NDArray[np.uint32]

MOST_SYMBOLS = 10_000_000  # about 0.5 GB while they are rewritten and drawn


def rewritten(axiom: str, rules: Mapping[str, str], depth: int) -> Symbols:
    """The string, as Unicode numbers, after ``depth`` rewritings of ``axiom``; symbols without a
    rule stay.

    The length is counted before a string is made, so that a depth that would fill the memory is
    refused at once.
    """
    _within(axiom, rules, depth)
    symbols = _codes(axiom)
    texts = [_codes(text) for text in rules.values()]
    known = _codes("".join(rules))
    for _ in range(depth if rules else 0):
        symbols = _once(symbols, known, texts)
    return symbols


def _codes(text: str) -> Symbols:
    return np.frombuffer(text.encode("utf-32-le", "surrogatepass"), np.uint32)


def _once(symbols: Symbols, known: Symbols, texts: list[Symbols]) -> Symbols:
    alphabet, kind = (
        np.unique(symbols, return_inverse=True)
        if len(symbols)
        else (symbols, np.zeros(0, np.int64))
    )
    place = {int(code): k for k, code in enumerate(known)}
    table = [
        texts[place[int(code)]] if int(code) in place else alphabet[k : k + 1]
        for k, code in enumerate(alphabet)
    ]
    sizes = np.array([len(text) for text in table], np.int64)
    counts = sizes[kind]
    offsets = offsets_of(counts)
    rows = np.arange(offsets[-1]) + np.repeat(offsets_of(sizes)[:-1][kind] - offsets[:-1], counts)
    return np.asarray(np.concatenate([np.empty(0, np.uint32), *table])[rows])


def _within(axiom: str, rules: Mapping[str, str], depth: int) -> None:
    """Refuse a depth whose string would be too long; say how long, and the greatest depth that
    fits.
    """
    parts = {symbol: Counter(text) for symbol, text in rules.items()}
    held = Counter(axiom)
    for done in range(depth + 1):
        length = held.total()
        if length > MOST_SYMBOLS:
            raise InvalidValue(
                f"at depth {done} of {depth} the string already has {length:,} symbols, more than "
                f"{MOST_SYMBOLS:,}; "
                f"the greatest depth that fits is {done - 1}",
                depth=done,
                symbols=length,
            )
        following: Counter[str] = Counter()
        for symbol, times in held.items():
            for made, count in parts.get(symbol, {symbol: 1}).items():
                following[made] += times * count
        if following == held:
            return
        held = following


def numbered(symbols: Symbols, meaning: Mapping[str, int]) -> IntArray:
    """The number (n,) that ``meaning`` gives to each symbol; 0 for all others."""
    result = np.zeros(len(symbols), np.int64)
    for symbol, number in meaning.items():
        result[symbols == ord(symbol)] = number
    return result
