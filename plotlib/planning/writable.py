"""Whether a machine can ever have a program written for it, asked before any planning.

The rooms that write for machines stand above this one, so they say here how they tell; ``plan``
asks them all.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

from plotlib.machine import Machine

_PROVERS: list[Callable[[Machine], None]] = []


def ask_before_planning(prover: Callable[[Machine], None]) -> Callable[[Machine], None]:
    """Have ``prover`` asked by ``plan``; it raises InvalidValue for a machine that can never have a
    program.
    """
    _PROVERS.append(prover)
    check_writable.cache_clear()
    return prover


@lru_cache(maxsize=64)
def check_writable(machine: Machine) -> None:
    """Raise InvalidValue for a machine whose declared lines would spoil every program; asked once
    for each machine.
    """
    for prover in _PROVERS:
        prover(machine)
