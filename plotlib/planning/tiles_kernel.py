"""Cut a tour into pieces at some of its links and put the pieces together in another order."""

from __future__ import annotations

from plotlib.checks import AnyInts
from plotlib.compiled import compiled


@compiled
def rebuild(seq: AnyInts, cuts: AnyInts, pieces: AnyInts, out: AnyInts) -> None:
    """Write the tour that visits the pieces of ``seq`` in the order ``pieces``.

    Piece k runs from after position ``cuts[k - 1]`` to ``cuts[k]``, cyclically; an entry of ``pieces`` is 2k, or 2k + 1 for a piece that
    is walked backwards.
    """
    n = len(seq)
    at = 0
    for entry in pieces:
        k = entry >> 1
        first = cuts[k - 1] + 1 if k > 0 else cuts[-1] + 1 - n
        last = cuts[k]
        if entry & 1:
            for p in range(last, first - 1, -1):
                out[at] = seq[p if p >= 0 else p + n] ^ 1
                at += 1
        else:
            for p in range(first, last + 1):
                out[at] = seq[p if p >= 0 else p + n]
                at += 1
