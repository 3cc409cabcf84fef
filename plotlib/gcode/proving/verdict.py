"""How the proof refuses."""

from __future__ import annotations

from typing import Any

from plotlib.errors import ProofError


def refused(reason: str, *, line: int = 0, **facts: Any) -> ProofError:
    """The error to raise: the line (0 for the program as a whole), the reason, and that nothing was
    kept.
    """
    where = f"line {line}: " if line else ""
    return ProofError(
        f"the program does not pass its proof, and was not kept: {where}{reason}",
        line=int(line),
        **facts,
    )
