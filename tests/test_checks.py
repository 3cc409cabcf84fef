from __future__ import annotations

import numpy as np
import pytest

from plotlib.checks import generator
from plotlib.errors import InvalidValue


def test_a_seed_is_said_or_a_generator() -> None:
    assert generator(3).integers(1_000) == np.random.default_rng(3).integers(1_000)
    own = np.random.default_rng()
    assert generator(own) is own
    with pytest.raises(InvalidValue, match=r"got None.* pass numpy\.random\.default_rng\(\)"):
        generator(None)  # type: ignore[arg-type]
