import numpy as np
import pytest

from plotlib.curves.lattice import directions, lattice


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 16, 20, 24, 30])
def test_steps_are_the_unit_vectors(count):
    steps, axes = lattice(count)
    exact = np.exp(2j * np.pi * np.arange(count) / count)
    np.testing.assert_allclose((steps @ axes).view(complex)[:, 0], exact, atol=1e-14)
    assert len(np.unique(steps, axis=0)) == count


@pytest.mark.parametrize("count", [3, 5, 8, 12, 15])
def test_equal_places_are_equal_numbers(count):
    """All directions together lead back, and so does each subgroup."""
    steps, _ = lattice(count)
    assert not steps.sum(axis=0).any()
    for divisor in (d for d in range(2, count) if count % d == 0):
        assert not steps[:: count // divisor].sum(axis=0).any()


@pytest.mark.parametrize(
    ("angle", "count"),
    [
        (90, 4),
        (60, 6),
        (-60, 6),
        (36, 10),
        (45.0, 8),
        (72, 5),
        (22.5, 16),
        (180, 2),
        (0, 1),
        (360, 1),
        (25.7, 0),
        (7, 0),
        (137.50776, 0),
    ],
)
def test_directions_that_fit_few_axes(angle, count):
    assert directions(angle) == count
