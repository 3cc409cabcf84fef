"""labelled(): labels in the lines they name."""

import numpy as np
import pytest
import shapely

import plotlib as pl
from plotlib.text import labelled, measure

INK = pl.Pen("ink", 0.3)
BLUE = pl.Pen("blue", 0.2)


def test_the_label_stands_in_the_straightest_stretch_and_reads_upright():
    bend = np.linspace(-np.pi / 2, np.pi / 2, 40)
    hook = np.vstack([[(0, 0)], np.column_stack([60 + 8 * np.cos(bend), 8 + 8 * np.sin(bend)])])
    for stroke in (hook, hook[::-1]):
        made = labelled(pl.Drawing([stroke], pen=INK), "F", height=2, pen=BLUE)
        label = made.by_pen()[BLUE]
        left, bottom, right, top = label.bounds
        assert (bottom, top) == pytest.approx((-1, 1))
        assert 0 < left < right < 60
        middle = label.points[np.abs(label.points[:, 1]) < 0.5]
        assert label.clipped(shapely.box(left, -1, left + 0.1, 1)).length > 1.9  # the stem of an F
        assert middle[:, 0].max() < right - 0.1


def reading(label):
    """The way from the first half of a label to the second, as it reads."""
    half = len(label) // 2
    return label[half:].points.mean(axis=0) - label[:half].points.mean(axis=0)


def test_a_label_on_a_steep_line_reads_from_below_by_its_own_direction_not_that_of_its_room():
    # the room leans to the right all in all, the middle, where the text stands, to the left
    y = np.linspace(0, 8, 200)
    steep = np.column_stack([0.03 * y - 0.2 * np.sin(np.pi * y / 4 - np.pi), y])
    for turned in (1, -1):
        for stroke in (steep * (turned, 1), (steep * (turned, 1))[::-1]):
            made = labelled(pl.Drawing([stroke], pen=INK), "60", height=1.5, gap=2.3, pen=BLUE)
            label = made.by_pen()[BLUE]
            assert reading(label)[0] > 0


def test_a_line_that_stands_upright_is_read_from_the_right():
    # ISO 129-1: values are read from the bottom or from the right-hand side of the drawing
    for ends in (((0, 0), (0, 9)), ((0, 9), (0, 0))):
        label = labelled(pl.shapes.line(*ends, pen=INK), "HH", pen=BLUE).by_pen()[BLUE]
        assert reading(label) == pytest.approx((0, reading(label)[1]), abs=1e-9)
        assert reading(label)[1] > 0


@pytest.mark.parametrize("turn", range(0, 360, 30))
def test_on_closed_lines_no_character_leans_over(turn):
    around = pl.shapes.circle((0, 0), 12, pen=INK).turned(turn)
    for angle in range(0, 360, 15):
        x, y = 12 * np.cos(np.radians(angle)), 12 * np.sin(np.radians(angle))
        spot = shapely.Point(x, y).buffer(4.6)
        made = labelled(around, "IIIII", height=2, region=spot, pen=BLUE).by_pen()
        if BLUE not in made:
            continue
        for character in made[BLUE]:  # each is one upright line
            up = character[0] - character[-1]
            assert up[1] / np.hypot(*up) >= -np.sin(np.radians(6))


def test_lines_are_cleared_around_labels():
    rows = pl.Drawing([[(0, y), (80, y)] for y in (0, 1.2, 2.4, 12)], pen=INK)
    made = labelled(rows, ["10", "", "", "20"], height=2, gap=0.5, pen=BLUE)
    label = made.by_pen()[BLUE]
    lines = shapely.union_all(made.by_pen()[INK].to_shapely())
    assert min(shapely.distance(lines, part) for part in label.to_shapely()) > 0.4
    wide = measure("10", height=2).advance + 1.0
    assert made.by_pen()[INK].length == pytest.approx(rows.length - 3 * wide, rel=0.005)


def test_a_closed_line_with_a_label_is_one_open_stroke():
    ring = pl.shapes.circle((0, 0), 20, pen=INK)
    made = labelled(ring, "50", height=2)
    assert len(made.by_pen()[INK]) == 1
    assert not made.by_pen()[INK].is_closed[0]


def test_labels_come_again_along_a_line_and_keep_within_the_region():
    line = pl.shapes.line((0, 0), (300, 0), pen=INK)
    made = labelled(line, "5", height=2, spacing=60, pen=BLUE)
    assert len(made.by_pen()[INK]) == 6
    some = labelled(line, "5", spacing=60, region=shapely.box(0, -5, 125, 5), pen=BLUE)
    assert len(some.by_pen()[INK]) == 3
    assert some.by_pen()[BLUE].bounds[2] < 125


def test_labels_never_meet():
    rows = pl.Drawing([[(0, y), (80, y)] for y in np.arange(0, 6, 0.5)])
    made = labelled(rows, "100", height=2, pen=BLUE)
    assert 1 <= len(made.by_pen()[BLUE]) <= 3 * 12
    boxes = shapely.union_all(
        [shapely.buffer(part, 0.1) for part in made.by_pen()[BLUE].to_shapely()]
    )
    assert shapely.get_num_geometries(boxes) == len(made.by_pen()[BLUE])


def test_what_is_too_short_or_crooked_stays_as_it_is():
    short = pl.shapes.line((0, 0), (3, 0))
    assert labelled(short, "100", height=2) == short
    ring = pl.shapes.circle((0, 0), 2)
    assert labelled(ring, "100", height=2) == ring
    assert len(labelled(pl.Drawing(), "100")) == 0


def test_one_label_for_each_line():
    with pytest.raises(pl.InvalidValue, match="one label for each of the 1 lines, got 2"):
        labelled(pl.shapes.line((0, 0), (30, 0)), ["1", "2"])
