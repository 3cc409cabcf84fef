"""Notebook pictures: valid, small, true."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import numpy as np
import pytest

from plotlib.arrays import picture
from plotlib.arrays.picture import svg_picture
from plotlib.drawing import Drawing
from plotlib.pen import Pen

SVG = "{http://www.w3.org/2000/svg}"


def read(text: str) -> tuple[ElementTree.Element, list[np.ndarray]]:
    """The element and the strokes of all its paths in px."""
    root = ElementTree.fromstring(text)
    strokes = []
    for path in root.iter(f"{SVG}path"):
        for line in path.attrib["d"].split("M")[1:]:
            numbers = np.array([int(word) for word in re.findall(r"-?\d+", line)]).reshape(-1, 2)
            strokes.append(np.cumsum(numbers, axis=0) / 10)
            if line.endswith("Z"):
                strokes[-1] = np.vstack([strokes[-1], strokes[-1][:1]])
    return root, strokes


def plain(drawing: Drawing) -> str:
    """The picture of a drawing's strokes."""
    widths = [pen.width for pen in drawing.pens]
    colours = [pen.colour for pen in drawing.pens]
    strokes = (drawing.points, drawing.offsets, drawing.pen_index)
    return svg_picture(*strokes, widths, colours)


def wild(strokes: int, points: int, size: float = 200.0) -> Drawing:
    rng = np.random.default_rng(0)
    steps = np.cumsum(rng.normal(0, 0.6, (strokes, points, 2)), axis=1)
    return Drawing.from_arrays(
        (rng.random((strokes, 1, 2)) * size + steps).reshape(-1, 2),
        np.arange(0, strokes * points + 1, points, dtype=np.int64),
    )


def test_places_points_with_y_down_and_true_widths() -> None:
    drawing = Drawing([[(0, 0), (100, 50)], [(10, 40)]], pen=Pen("a", width=1.0, colour="#123456"))
    root, strokes = read(plain(drawing))
    scale = 640 / 101
    assert root.attrib["width"] == "640"
    assert root.attrib["height"] == str(round(51 * scale))
    np.testing.assert_allclose(
        strokes[0], [[0.5 * scale, 50.5 * scale], [100.5 * scale, 0.5 * scale]], atol=0.051
    )
    np.testing.assert_allclose(strokes[1], np.array([[10.5, 10.5]] * 2) * scale, atol=0.051)
    path = root.find(f"{SVG}path")
    assert path is not None
    assert path.attrib["stroke"] == "#123456"
    assert float(path.attrib["stroke-width"]) == pytest.approx(10 * scale, abs=0.5)
    assert path.attrib["stroke-linecap"] == "round"


def test_the_page_is_shown_whole() -> None:
    drawing = Drawing([[(5, 10), (15, 10)]])
    text = svg_picture(
        drawing.points,
        drawing.offsets,
        drawing.pen_index,
        [0.4],
        ["#000000"],
        page=(5, 10, 215, 158),
    )
    root, strokes = read(text)
    assert (root.attrib["width"], root.attrib["height"]) == ("640", str(round(640 * 148 / 210)))
    np.testing.assert_allclose(
        strokes[0], [[0, 148 * 640 / 210], [10 * 640 / 210, 148 * 640 / 210]], atol=0.051
    )


def test_small_and_empty_drawings() -> None:
    root, strokes = read(plain(Drawing()))
    assert strokes == []
    assert 1 <= int(root.attrib["width"]) < 20
    root, strokes = read(plain(Drawing([[(7, 7)]])))
    assert len(strokes) == 1
    assert int(root.attrib["width"]) < 20


def test_each_pen_keeps_its_colour() -> None:
    drawing = Drawing([[(0, 0), (9, 9)]], pen=Pen("a", colour="#aa0000")) + Drawing(
        [[(0, 9), (9, 0)]], pen=Pen("b", colour="#00aa00")
    )
    root, _ = read(plain(drawing))
    assert [path.attrib["stroke"] for path in root.iter(f"{SVG}path")] == ["#aa0000", "#00aa00"]


def test_points_that_nobody_sees_go_and_the_line_stays() -> None:
    t = np.linspace(0, 2 * np.pi, 100_001)
    circle = np.column_stack([100 * np.cos(t), 100 * np.sin(t)])
    circle[-1] = circle[0]
    text = plain(Drawing([circle]))
    assert len(text) < 8000
    _, (stroke,) = read(text)
    scale = 640 / 200.4
    radius = np.hypot(*(stroke - 320).T) / scale
    assert np.abs(radius - 100).max() * scale < 0.2
    assert (stroke[0] == stroke[-1]).all()


@pytest.mark.parametrize(
    "drawing", [wild(100_000, 10), wild(1, 400_000), wild(400_000, 1), wild(150_000, 4, 20_000)]
)
def test_large_drawings_stay_small_and_say_so(drawing: Drawing) -> None:
    text = plain(drawing)
    assert len(text) < 2_000_000
    root, strokes = read(text)
    note = root.find(f"{SVG}text")
    if note is not None:
        said = re.search(r"1 in (\d+)", note.text or "")
        assert said is not None
        assert int(said[1]) >= 2
    assert strokes


def test_uneven_strokes_stay_within_the_budget(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every second stroke is long: an even step would choose only the long ones."""
    monkeypatch.setattr(picture, "_BUDGET", 20_000)
    rng = np.random.default_rng(3)
    strokes = [rng.random((150 if k % 2 == 0 else 1, 2)) * 300 for k in range(300)]
    root, shown = read(plain(Drawing(strokes)))
    data = sum(len(path.attrib["d"]) for path in root.iter(f"{SVG}path"))
    assert 2_000 < data <= 20_000
    assert shown


def test_thinned_pieces_are_pieces_of_the_strokes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(picture, "_BUDGET", 5_000)
    rng = np.random.default_rng(4)
    given = rng.random((3000, 2)) * 80
    _, shown = read(plain(Drawing([given])))
    lengths = [len(stroke) for stroke in shown]
    assert 0 < sum(lengths) < 1000
    assert max(lengths) <= 200


# ---- what stands around the strokes

LINE = Drawing([[(0, 0), (30, 20)]], pen=Pen("a", width=0.5, colour="#1d4e89"))


def shown(drawing: Drawing, **options: object) -> ElementTree.Element:
    widths = [pen.width for pen in drawing.pens]
    colours = [pen.colour for pen in drawing.pens]
    strokes = (drawing.points, drawing.offsets, drawing.pen_index)
    return ElementTree.fromstring(svg_picture(*strokes, widths, colours, **options))  # type: ignore[arg-type]


def test_a_small_drawing_is_eight_px_a_mm_and_a_caption_stands_below() -> None:
    """30.5 x 20.5 mm are 244 x 164 px; a line of a caption is 22 px high."""
    root = shown(LINE, caption="a < b & c")
    assert root.attrib["viewBox"] == "0 0 2440 1860"
    assert (root.attrib["width"], root.attrib["height"]) == ("244", "186")
    paper = root.find(f"{SVG}rect")
    assert paper is not None
    assert (paper.attrib["width"], paper.attrib["height"]) == ("2440", "1860")
    text = root.find(f"{SVG}text")
    assert text is not None
    assert text.text == "a < b & c"
    assert (text.attrib["x"], text.attrib["y"]) == ("60", "1790")
    assert root.find(f"{SVG}g") is None


def test_a_longer_caption_has_the_picture_in_its_middle() -> None:
    """100 letters of 6.6 px are 660 px, of which the picture has 244."""
    root = shown(LINE, caption="m" * 100)
    assert (root.attrib["width"], root.attrib["height"]) == ("660", "186")
    group = root.find(f"{SVG}g")
    assert group is not None
    assert group.attrib["transform"] == "translate(2080 0)"
    assert shown(LINE, caption="m" * 37).find(f"{SVG}g") is None  # 244 px, just as wide


def test_a_line_is_never_thinner_than_a_screen_shows() -> None:
    for width, wanted in ((0.001, "3"), (0.05, "4"), (1.0, "80")):
        path = shown(LINE.inked(Pen("a", width=width))).find(f"{SVG}path")
        assert path is not None
        assert path.attrib["stroke-width"] == wanted


def test_the_desk_shows_where_the_paper_ends() -> None:
    paper = np.array([(0, 0), (20, 0), (20, 10), (0, 10), (0, 0)], float)
    hole = np.array([(5, 5), (6, 5), (6, 6), (5, 5)], float)
    desk = picture.Desk("#aabbcc", (paper, hole))
    root = shown(LINE, page=(-10, -10, 30, 20), desk=desk)
    rects = root.findall(f"{SVG}rect")
    assert rects[1].attrib == {"width": "3200", "height": "2400", "fill": "#aabbcc"}
    path = root.find(f"{SVG}path")
    assert path is not None
    assert path.attrib["fill-rule"] == "evenodd"
    assert path.attrib["fill"] == rects[0].attrib["fill"]
    _, strokes = read(ElementTree.tostring(root, encoding="unicode"))
    assert strokes[0].tolist() == [[80, 160], [240, 160], [240, 80], [80, 80], [80, 160]]
    assert strokes[1].tolist() == [[120, 120], [128, 120], [128, 112], [120, 120]]


def test_dots_upon_dots_are_shown_once_for_each_pen() -> None:
    places = [(0, 0), (3, 0), (0, 0), (3, 4), (0.004, 0), (3, 0), (0, 4)]
    dots = Drawing([[place] for place in places], pen=Pen("a", 0.5))
    both = dots + Drawing([[(3, 0)], [(1, 1), (2, 2)]], pen=Pen("b", 0.5))
    paths = shown(both).findall(f"{SVG}path")
    assert [path.attrib["d"].count("M") for path in paths] == [4, 2]
    _, strokes = read(plain(both))
    marks = sorted(stroke[0].tolist() for stroke in strokes[:4])
    assert marks == [[2, 2], [2, 34], [26, 2], [26, 34]]


@pytest.mark.parametrize(("most", "step"), [(200, 1), (199, 2), (20, 10), (19, 11)])
def test_of_too_many_points_one_stroke_in_so_many_is_shown(
    most: int, step: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(picture, "_POINTS", most)
    strokes = Drawing([[(k, 0), (k, 5)] for k in range(100)])
    root = shown(strokes, caption="A hundred.")
    (path,) = root.findall(f"{SVG}path")
    assert path.attrib["d"].count("M") == -(-100 // step)
    told = [text.text for text in root.findall(f"{SVG}text")]
    more = [f"1 in {step} of its strokes is shown."] if step > 1 else []
    assert told == ["A hundred.", *more]
