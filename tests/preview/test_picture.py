"""Pictures of the paper: true size, true colours, whole."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import shapely

from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, MissingPackage
from plotlib.files import NotWritten
from plotlib.machine import Axis, Machine, ServoLift
from plotlib.pen import Pen
from plotlib.planning.plot import Plot
from plotlib.preview import image, marks, picture, png
from plotlib.preview.picture import pixels
from plotlib.sheet import Sheet
from tests.outside import MEMORY, published

PAPER = (0xFC, 0xFA, 0xF5)
BLACK = Pen("black", width=2, colour="#000000", opacity=1)
RED = Pen("red", width=2, colour="#e02010", opacity=1)


def plot(drawing: Drawing, sheet: Sheet | None = None) -> Plot:
    lift = ServoLift(up="M5", down="M3 S90")
    machine = Machine(
        width=60,
        height=40,
        x=Axis(10_000),
        y=Axis(4_000),
        lift=lift,
        feed=3_000,
        home=(0, 40),
        park=(60, 40),
    )
    return Plot(
        drawing=drawing,
        machine=machine,
        sheet=sheet,
        metric="time",
        joining_ink=0.0,
        cost=0.0,
        given=len(drawing),
        least=len(drawing),
    )


def test_the_file_has_the_size_and_resolution_of_the_sheet(tmp_path: Path) -> None:
    from PIL import Image

    png(
        plot(Drawing([[(10, 10), (20, 20)]]), Sheet.iso("A5", landscape=True)),
        tmp_path / "a.png",
        dpi=100,
    )
    with Image.open(tmp_path / "a.png") as shown:
        assert shown.size == (round(210 / 25.4 * 100), round(148 / 25.4 * 100))
        assert shown.info["dpi"] == pytest.approx((100, 100), abs=0.02)
        assert shown.getpixel((5, 5)) == PAPER
        assert (
            np.asarray(shown)
            == pixels(
                plot(Drawing([[(10, 10), (20, 20)]]), Sheet.iso("A5", landscape=True)), dpi=100
            )
        ).all()


def test_ink_lies_where_it_was_drawn() -> None:
    array = pixels(
        plot(Drawing([[(15, 30)]], pen=BLACK), Sheet(50, 30, margin=1, at=(5, 5))), dpi=254
    )  # ten pixels a mm
    assert array.shape == (300, 500, 3)
    rows, columns = np.nonzero((array < 188).all(axis=2))  # more than half covered
    assert (rows.mean(), columns.mean()) == pytest.approx((50 - 0.5, 100 - 0.5), abs=0.2)
    assert len(rows) == pytest.approx(np.pi * 10**2, rel=0.03)


def test_plots_without_sheet_show_the_bed_and_drawings_their_ink() -> None:
    drawing = Drawing([[(5, 5), (35, 5)]], pen=BLACK)
    assert pixels(plot(drawing), dpi=25.4).shape == (40, 60, 3)
    assert pixels(drawing, dpi=25.4).shape == (2, 32, 3)
    assert pixels(drawing, dpi=25.4, sheet=Sheet(70, 20, margin=1)).shape == (20, 70, 3)
    assert pixels(drawing, dpi=25.4, page=shapely.box(0, 0, 9, 8)).shape == (8, 9, 3)
    assert pixels(Drawing(), dpi=25.4).shape == (1, 1, 3)


def test_a_drawing_in_sheet_mm_lies_on_its_sheet_as_its_plot_does() -> None:
    sheet = Sheet(50, 30, margin=1, at=(5, 5))
    drawing = Drawing([[(10, 25), (30, 4)]], pen=BLACK)
    shown = pixels(drawing, dpi=127, sheet=sheet)
    assert shown.shape == (150, 250, 3)
    assert (shown == pixels(plot(drawing.moved(5, 5), sheet), dpi=127)).all()
    with pytest.raises(InvalidValue, match="not both"):
        pixels(drawing, sheet=sheet, page=sheet.area)


@pytest.mark.parametrize("name", ["a.svg", "a.jpg", "a.gcode", "a.png.txt"])
def test_another_suffix_is_refused(name: str, tmp_path: Path) -> None:
    with pytest.raises(InvalidValue, match=r"path must end in \.png.*name it a.*svg\.write"):
        png(Drawing([[(0, 0)]]), tmp_path / name)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("name", ["a.PNG", "a"])
def test_upper_case_and_no_suffix_are_taken(name: str, tmp_path: Path) -> None:
    png(Drawing([[(0, 0)]]), tmp_path / name)
    assert (tmp_path / name).read_bytes().startswith(b"\x89PNG")


@published(
    module="preview", source="IEC 61966-2-1: 0.5 encodes to 0.7354", kind=MEMORY, printed=188
)
def test_half_covered_pixels_are_as_bright_as_half_the_paper(printed: int) -> None:
    """Linear light: half black, half white is 188 in sRGB bytes (IEC 61966-2-1: 0.5 encodes to
    0.7354).
    """
    array = pixels(
        Drawing([[(-5, 0.5), (15, 0.5)]], pen=BLACK),
        dpi=25.4,
        paper="#fff",
        page=shapely.box(0, 0, 10, 3),
    )
    assert array[2, 5].tolist() == [0, 0, 0]
    assert array[1, 5].tolist() == [printed] * 3
    assert array[0, 5].tolist() == [255, 255, 255]


def test_inks_keep_their_colours_and_crossings_show() -> None:
    across = Drawing([[(0, 10), (20, 10)]], pen=RED)
    up = Drawing([[(10, 0), (10, 20)]], pen=Pen("green", width=2, colour="#209040", opacity=1))
    array = pixels(across + up, dpi=254, page=shapely.box(0, 0, 20, 20)).astype(int)
    assert np.abs(array[100, 20] - (0xE0, 0x20, 0x10)).max() <= 1
    assert np.abs(array[20, 100] - (0x20, 0x90, 0x40)).max() <= 1
    assert (array[100, 100] < array[20, 100] + 1).all()
    assert array[100, 100].sum() < array[20, 100].sum() - 20


def test_light_ink_covers_dark_paper() -> None:
    white = Drawing([[(0, 5), (20, 5)]], pen=Pen("white", width=2, colour="#ffffff", opacity=1))
    array = pixels(white, dpi=254, paper="#203040", page=shapely.box(0, 0, 10, 10))
    assert array[50, 50].tolist() == [255, 255, 255]
    assert array[10, 10].tolist() == [0x20, 0x30, 0x40]


def test_bands_do_not_show(monkeypatch: pytest.MonkeyPatch) -> None:
    rng = np.random.default_rng(2)
    drawing = Drawing(rng.random((60, 4, 2)) * 30, pen=RED) + Drawing(
        rng.random((60, 1, 2)) * 30, pen=BLACK
    )
    whole = pixels(plot(drawing), dpi=120, travel=True)
    monkeypatch.setattr(picture, "_BAND", 4000)
    assert (pixels(plot(drawing), dpi=120, travel=True) == whole).all()


def test_travel_goes_from_home_by_the_park_point_to_the_next_pen() -> None:
    drawing = Drawing([[(10, 10), (20, 10)], [(30, 10), (40, 10)]], pen=BLACK) + Drawing(
        [[(40, 20), (30, 20)]], pen=RED
    )
    moves = marks.moves(plot(drawing))
    wanted = [
        [(0, 40), (10, 10)],
        [(20, 10), (30, 10)],
        [(60, 40), (40, 20)],
        [(40, 10), (60, 40)],
        [(30, 20), (60, 40)],
    ]
    assert sorted(moves.tolist()) == sorted([list(map(list, move)) for move in wanted])
    assert len(marks.moves(drawing)) == 2
    assert marks.moves(Drawing()).shape == (0, 2, 2)
    assert marks.moves(plot(Drawing())).tolist() == [[[0, 40], [60, 40]]]
    plain = pixels(plot(drawing), dpi=100)
    shown = pixels(plot(drawing), dpi=100, travel=True)
    changed = (plain != shown).any(axis=2)
    assert 0.01 < changed.mean() < 0.1
    assert (shown[changed][:, 0] > shown[changed][:, 1]).all()


def test_same_input_same_bytes(tmp_path: Path) -> None:
    drawing = Drawing(np.random.default_rng(1).random((50, 3, 2)) * 20)
    for name in "ab":
        png(drawing, tmp_path / f"{name}.png")
    assert (tmp_path / "a.png").read_bytes() == (tmp_path / "b.png").read_bytes()


def test_absurd_sizes_are_refused_with_the_largest_dpi(tmp_path: Path) -> None:
    big = plot(Drawing([[(0, 0)]]), Sheet.iso("A0"))
    with pytest.raises(
        InvalidValue, match=r"841 x 1189 mm at 600 dpi .* use a dpi up to 508"
    ) as caught:
        png(big, tmp_path / "a.png", dpi=600)
    assert 841 * 1189 * (caught.value.facts["largest"] / 25.4) ** 2 <= 400e6
    with pytest.raises(InvalidValue, match="pixels"):
        pixels(Drawing([[(0, 0), (1e9, 1e9)]]))
    assert not list(tmp_path.iterdir())


def test_wrong_values_are_named(tmp_path: Path) -> None:
    drawing = Drawing([[(0, 0)]])
    for wrong in ("white", "#12345", 3, None):
        with pytest.raises(InvalidValue, match="paper must be a colour"):
            png(drawing, tmp_path / "a.png", paper=wrong)  # type: ignore[arg-type]
    for number in (0, -3, float("nan")):
        with pytest.raises(InvalidValue, match="dpi"):
            png(drawing, tmp_path / "a.png", dpi=number)
    with pytest.raises(NotWritten, match="no folder"):
        png(drawing, tmp_path / "missing" / "a.png")
    assert not list(tmp_path.iterdir())


def test_a_missing_package_is_named_as_it_is_installed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "PIL.Image", None)
    with pytest.raises(
        MissingPackage, match=r"a PNG picture needs the package pillow, .* type: pip install pillow"
    ):
        png(Drawing([[(0, 0)]]), tmp_path / "a.png")


def test_importing_loads_no_picture_library() -> None:
    heavy = "{'PIL', 'numba', 'scipy', 'aggdraw'}"
    code = "import sys, plotlib.preview, plotlib.svg; "
    code += f"print(sorted({heavy} & set(sys.modules)))"
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        cwd=Path(__file__).parents[2],
    )
    assert done.stdout.strip() == "[]"


def decoded(array: np.ndarray) -> np.ndarray:
    """Linear light of sRGB bytes (IEC 61966-2-1), written down anew."""
    value = array / 255
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


def upright(x: float, dpi: float, width: float) -> np.ndarray:
    """One row through an upright line of the default ink at ``x`` mm."""
    line = Drawing([[(x, -9), (x, 9)]], pen=Pen("fine", width=width))
    return pixels(line, dpi=dpi, page=shapely.box(-2, -2, 2, 2))[8, :, 1]


def level(y: float, dpi: float, width: float) -> np.ndarray:
    line = Drawing([[(-9, y), (9, y)]], pen=Pen("fine", width=width))
    return pixels(line, dpi=dpi, page=shapely.box(-2, -2, 2, 2))[:, 8, 1]


@pytest.mark.parametrize("across", [upright, level])
@pytest.mark.parametrize(("dpi", "width"), [(96, 0.3), (96, 0.2), (150, 0.3), (150, 0.2)])
def test_a_fine_line_is_as_dark_wherever_it_lies(
    across: Callable[[float, float, float], np.ndarray], dpi: float, width: float
) -> None:
    """In light and, nearly, in the bytes of the file, so that nothing beats when it is made
    smaller; with each pixel seeing only itself the sum of bytes of a 0.3 mm line at 96 dpi varied
    by 34 %, its darkest byte from 66 to 182.
    """
    places = np.linspace(0, 25.4 / dpi, 24, endpoint=False)
    rows = [across(place, dpi, width).astype(float) for place in places]
    light = [(decoded(np.array(0xFA)) - decoded(row)).sum() for row in rows]
    bytes_ = [(0xFA - row).sum() for row in rows]
    assert np.ptp(light) / np.mean(light) < (0.03 if width == 0.3 else 0.05)
    assert np.ptp(bytes_) / np.mean(bytes_) < 0.05
    assert np.ptp([row.min() for row in rows]) < 40


@pytest.mark.parametrize("dpi", [96, 150])
@pytest.mark.parametrize("spacing", [0.5, 0.53, 0.8])
def test_parallel_lines_do_not_beat(dpi: float, spacing: float) -> None:
    """A hatch of fine lines is an even tone: windows some lines wide are equally bright."""
    lines = [[(x, -9), (x, 9)] for x in np.arange(-2, 62, spacing)]
    array = pixels(
        Drawing(lines, pen=Pen("fine", width=0.3)), dpi=dpi, page=shapely.box(0, 0, 60, 1)
    )
    light = decoded(array[1, :, 1].astype(float))
    step = round(spacing * dpi / 25.4 * 8)
    means = np.convolve(light, np.full(step, 1 / step), "valid")
    assert np.ptp(means) / np.mean(means) < 0.05


def crossing(first: Pen, second: Pen) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Light of the first pen alone, of the second alone, and where they cross, over the paper's."""
    across = Drawing([[(0, 10), (20, 10)]], pen=first)
    up = Drawing([[(10, 0), (10, 20)]], pen=second)
    light = decoded(pixels(across + up, dpi=254, page=shapely.box(0, 0, 20, 20)).astype(float))
    return light[100, 20] / light[0, 0], light[20, 100] / light[0, 0], light[100, 100] / light[0, 0]


def test_ink_that_lies_twice_multiplies() -> None:
    blue = Pen("blue", width=2, colour="#1d4e89", opacity=0.6)
    green = Pen("green", width=2, colour="#209040", opacity=0.8)
    for pens in ((blue, green), (blue, blue), (green, green)):
        one, other, both = crossing(*pens)
        assert both == pytest.approx(one * other, abs=0.01)
    paper = decoded(np.array(PAPER))
    one, _, _ = crossing(blue, green)
    share = decoded(np.array((0x1D, 0x4E, 0x89))) / paper
    assert one == pytest.approx(1 - 0.6 * (1 - share), abs=0.01)


def test_a_stroke_that_crosses_itself_is_darker_there() -> None:
    loop = [(0, 10), (20, 10), (20, 20), (10, 20), (10, 0)]
    pen = Pen("grey", width=2, colour="#000", opacity=0.5)
    array = pixels(Drawing([loop], pen=pen), dpi=254, page=shapely.box(0, 0, 20, 20))
    light = decoded(array[..., 1].astype(float)) / decoded(np.array(0xFA))
    assert light[100, 50] == pytest.approx(0.5, abs=0.005)
    assert light[100, 100] == pytest.approx(0.25, abs=0.005)


def test_a_highlighter_leaves_ink_below_it_dark() -> None:
    marker = Pen("marker", width=2, colour="#fff04a", opacity=0.7)
    ink = Pen("ink", width=2)
    for pens in ((ink, marker), (marker, ink)):
        one, other, both = crossing(*pens)
        assert (both <= np.minimum(one, other) + 1e-6).all()
        assert both.max() < 0.05


def test_the_image_is_the_array() -> None:
    drawing = Drawing([[(0, 0), (30, 20)]])
    shown = image(drawing, dpi=100)
    assert shown.mode == "RGB"
    assert shown.info["dpi"] == (100, 100)
    assert (np.asarray(shown) == pixels(drawing, dpi=100)).all()
