from __future__ import annotations

import pytest

from plotlib.errors import InvalidValue
from plotlib.machine.grid import on_grid


def test_places_on_the_grid_stay_as_they_are() -> None:
    assert on_grid("home", (0.1, 12.345), 3) == (0.1, 12.345)


@pytest.mark.parametrize(("place", "decimals"), [((0.05, 0), 1), ((0, 1e-7), 6), ((0.5, 0), 0)])
def test_places_off_the_grid_are_refused(place: tuple[float, float], decimals: int) -> None:
    with pytest.raises(InvalidValue, match="off the grid") as caught:
        on_grid("park", place, decimals)
    assert caught.value.name == "park"


def test_what_is_too_far_to_count_is_refused() -> None:
    with pytest.raises(InvalidValue, match=r"beyond 1e\+09 mm"):
        on_grid("zero", (0, -2e9), 3)
