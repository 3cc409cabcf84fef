import pytest

from plotlib import Pen
from plotlib.errors import InvalidValue
from plotlib.text import axis, legend, north_arrow, scale_bar, table


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: axis((0, 0), (9, 0), low=0, high=5, height=None), "height must be a finite"),
        (lambda: axis((0, 0), (9, 0), low=0, high=5, title=3), "title must be a string"),
        (lambda: axis((0, 0), (9, 0), low=0, high=5, label=3), "label must be several texts"),
        (lambda: axis((0, 0), (9, 0), low=0, high=5, label=len), "label must be a function of one"),
        (lambda: scale_bar((0, 0), step=1, count=2, scale=9, unit=b"km"), "unit must be a string"),
        (lambda: scale_bar((0, 0), step=1, count=2, scale=9, pen="blue"), "pen must be a Pen"),
        (lambda: scale_bar((0, 0), step=1e200, count=2, scale=9), r"step \* count \* scale makes"),
        (lambda: scale_bar((0, 0), step=1, count=2, scale=9, thickness=1e7), "rows of ink"),
        (lambda: north_arrow((0, 0), pen="blue"), "pen must be a Pen"),
        (lambda: legend([("ferry", Pen("blue"), 3)]), "entry 0 of entries must be a pair"),
        (lambda: legend(None), "entries must be several"),
        (lambda: table(None), "rows must be several"),
        (lambda: table([["a"]], widths=["b"]), "widths must be a finite number"),
        (lambda: table([["a"]], head_pen="blue"), "head_pen must be a Pen"),
    ],
)
def test_wrong_values_are_named(make, words):
    with pytest.raises(InvalidValue, match=words):
        make()
