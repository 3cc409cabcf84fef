"""Compiled: cellular automata.

Elementary ones: S. Wolfram, *Statistical Mechanics of Cellular Automata*, Reviews of Modern Physics
55, 1983. Bit 4 l + 2 m + r of the rule is what becomes of a cell m between l and r. Life-like ones:
E. R. Berlekamp, J. H. Conway, R. K. Guy, *Winning Ways*, 1982. Bit n of ``birth`` and ``survival``
is what becomes of a dead and of a live cell with n live neighbours among eight. Cells outside the
area stay dead.

``tests/growth/test_automata.py`` tests both against the same in plain numpy.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import BoolArray
from plotlib.compiled import compiled_above


@compiled_above(5_000)
def rows_of(rule: int, is_in: BoolArray, first: BoolArray) -> BoolArray:
    """All generations (rows, columns), one below the other; row 0 is the first one."""
    rows, columns = is_in.shape
    alive = np.zeros((rows, columns), np.bool_)
    for i in range(columns):
        alive[0, i] = first[i] and is_in[0, i]
    for j in range(1, rows):
        for i in range(columns):
            code = 0
            if i > 0 and alive[j - 1, i - 1]:
                code += 4
            if alive[j - 1, i]:
                code += 2
            if i < columns - 1 and alive[j - 1, i + 1]:
                code += 1
            alive[j, i] = is_in[j, i] and (rule >> code) % 2 == 1
    return alive


@compiled_above(5_000)
def generation(birth: int, survival: int, is_in: BoolArray, alive: BoolArray) -> BoolArray:
    """The next generation (rows, columns)."""
    rows, columns = is_in.shape
    born = np.zeros((rows, columns), np.bool_)
    for j in range(rows):
        for i in range(columns):
            if not is_in[j, i]:
                continue
            near = 0
            for y in range(max(j - 1, 0), min(j + 2, rows)):
                for x in range(max(i - 1, 0), min(i + 2, columns)):
                    if alive[y, x] and not (y == j and x == i):
                        near += 1
            chosen = survival if alive[j, i] else birth
            born[j, i] = (chosen >> near) % 2 == 1
    return born
