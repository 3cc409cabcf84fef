import numpy as np
import pytest

from plotlib.curves import phyllotaxis
from plotlib.errors import InvalidValue


def test_seeds_are_dots_from_the_centre_outwards():
    drawing = phyllotaxis((10, 20), 50, scale=3)
    assert np.diff(drawing.offsets).tolist() == [1] * 50
    np.testing.assert_allclose(
        np.hypot(*(drawing.points - (10, 20)).T), 3 * np.sqrt(np.arange(1, 51)), rtol=1e-12
    )


def test_seeds_may_be_circles_each_of_its_size():
    sizes = np.linspace(0.5, 2, 50)
    drawing = phyllotaxis((0, 0), 50, scale=3, radii=sizes)
    assert drawing.is_closed.all()
    seeds = phyllotaxis((0, 0), 50, scale=3).points
    for seed, size, ring in zip(seeds, sizes, drawing, strict=True):
        np.testing.assert_allclose(np.hypot(*(ring - seed).T), size, rtol=1e-9)
    assert len(phyllotaxis((0, 0), 7, scale=3, radii=1)) == 7


def test_another_angle_gives_other_rows():
    points = phyllotaxis((0, 0), 40, scale=1, angle=90).points
    assert np.isclose(points, 0, atol=1e-12).any(axis=1).all()


def test_no_seeds_are_an_empty_drawing():
    assert len(phyllotaxis((0, 0), 0, scale=1)) == 0


@pytest.mark.parametrize(
    ("count", "options"),
    [
        (-1, {"scale": 1}),
        (2.5, {"scale": 1}),
        (5, {"scale": 0}),
        (5, {"scale": 1, "radii": [1, 2]}),
        (5, {"scale": 1, "angle": np.inf}),
    ],
)
def test_wrong_values_are_refused(count, options):
    with pytest.raises(InvalidValue):
        phyllotaxis((0, 0), count, **options)
