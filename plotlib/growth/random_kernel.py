"""Compiled: random numbers for kernels, those of SplitMix64.

G. L. Steele, D. Lea, C. H. Flood, *Fast Splittable Pseudorandom Number Generators*, OOPSLA 2014.
The state is one number in an array (1,) of uint64, which each draw moves on.

``tests/growth/test_random_kernel.py`` tests it against the numbers of the published algorithm
in Python's whole numbers.
"""

from __future__ import annotations

from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from plotlib.compiled import compiled

State: TypeAlias = NDArray[np.uint64]

_GOLDEN = np.uint64(0x9E3779B97F4A7C15)
_MIX_1 = np.uint64(0xBF58476D1CE4E5B9)
_MIX_2 = np.uint64(0x94D049BB133111EB)
_S30 = np.uint64(30)
_S27 = np.uint64(27)
_S31 = np.uint64(31)
_S11 = np.uint64(11)


def state_of(random: np.random.Generator) -> State:
    """A state drawn from a generator."""
    return random.integers(2**64, size=1, dtype=np.uint64)


@compiled
def uniform(state: Any) -> float:
    """A number of 53 random bits, 0 <= number < 1."""
    state[0] = state[0] + _GOLDEN
    z = state[0]
    z = (z ^ (z >> _S30)) * _MIX_1
    z = (z ^ (z >> _S27)) * _MIX_2
    z = z ^ (z >> _S31)
    return np.float64(z >> _S11) * (1.0 / 9007199254740992.0)
