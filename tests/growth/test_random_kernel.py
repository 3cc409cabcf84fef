"""Random numbers of kernels against the published algorithm in whole numbers of Python."""

from __future__ import annotations

from typing import Any

import numpy as np

from plotlib.growth.random_kernel import state_of, uniform
from tests.outside import MEMORY, published


@published(
    module="growth",
    source="the test values of SplitMix64 for 1234567",
    kind=MEMORY,
    printed=[6457827717110365317, 3203168211198807973, 9817491932198370423],
)
def test_numbers_are_those_of_splitmix64(printed: Any) -> None:
    """The first outputs for the state 1234567: the published algorithm's test values, which other
    implementations print too (from memory), and the algorithm again in Python.
    """
    state = np.array([1234567], np.uint64)
    seen = [uniform(state) for _ in range(3)]
    assert seen == [(number >> 11) / 2**53 for number in printed]
    state = np.array([7], np.uint64)
    at = 7
    for _ in range(500):
        at = (at + 0x9E3779B97F4A7C15) % 2**64
        z = ((at ^ (at >> 30)) * 0xBF58476D1CE4E5B9) % 2**64
        z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) % 2**64
        assert uniform(state) == ((z ^ (z >> 31)) >> 11) / 2**53


def test_states_follow_the_generator() -> None:
    one, same = (state_of(np.random.default_rng(4)) for _ in range(2))
    assert one == same
    assert one != state_of(np.random.default_rng(5))
