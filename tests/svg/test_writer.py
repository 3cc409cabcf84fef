"""SVG files: true size, exact places, well formed, whole."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, PlotlibError
from plotlib.files import NotWritten
from plotlib.machine import Axis, Machine, ServoLift
from plotlib.pen import Pen
from plotlib.planning.plan import plan
from plotlib.planning.plot import Plot
from plotlib.shapes import circle
from plotlib.sheet import Sheet
from plotlib.svg import read as read_svg
from plotlib.svg import write

SVG = "{http://www.w3.org/2000/svg}"
BLUE = Pen('blue <&> "1"', width=0.35, colour="#1d4e89")
RED = Pen("röd", width=0.8, colour="#b02a1e")


def machine(decimals: int = 3, width: float = 225, height: float = 250) -> Machine:
    lift = ServoLift(up="M5", down="M3 S90")
    return Machine(
        width=width,
        height=height,
        x=Axis(10_000, 500),
        y=Axis(4_000, 250),
        lift=lift,
        feed=3_000,
        decimals=decimals,
    )


def plot(drawing: Drawing, sheet: Sheet | None = None, on: Machine | None = None) -> Plot:
    return Plot(
        drawing=drawing,
        machine=on or machine(),
        sheet=sheet,
        metric="time",
        joining_ink=0.0,
        cost=0.0,
        given=len(drawing),
        least=len(drawing),
    )


def read(path: Path) -> tuple[ElementTree.Element, list[list[tuple[str, np.ndarray]]]]:
    """The root and, for each group, (path data, points) of each path; a small strict reader of what
    we write.
    """
    root = ElementTree.parse(path).getroot()
    groups = []
    for group in root.findall(f"{SVG}g"):
        strokes = []
        for element in group.findall(f"{SVG}path"):
            data = element.attrib["d"]
            assert re.fullmatch(r"M-?[\d.]+[ -][\d.]+L[-\d. ]+Z?", data), data
            points = np.array([float(word) for word in re.findall(r"-?[\d.]+", data)]).reshape(
                -1, 2
            )
            strokes.append(
                (data, points[[*range(len(points)), 0]] if data.endswith("Z") else points)
            )
        groups.append(strokes)
    return root, groups


def test_a_drawing_is_written_in_true_size(tmp_path: Path) -> None:
    drawing = Drawing(
        [[(10, 10), (30, 50)], [(20, 20)], [(10, 10), (20, 10), (20, 30), (10, 10)]], pen=BLUE
    ) + Drawing([[(0, 0), (5, 5)]], pen=RED)
    write(drawing, tmp_path / "a.svg", title="Skerrow & <isles>")
    root, (blue, red) = read(tmp_path / "a.svg")
    assert (root.attrib["width"], root.attrib["height"], root.attrib["viewBox"]) == (
        "30.8mm",
        "50.8mm",
        "0 0 30.8 50.8",
    )
    assert [group.findtext(f"{SVG}title") for group in root.findall(f"{SVG}g")] == [
        BLUE.name,
        RED.name,
    ]
    assert root.findtext(f"{SVG}title") == "Skerrow & <isles>"
    group = root.find(f"{SVG}g")
    assert group is not None
    wanted = {
        "fill": "none",
        "stroke": "#1d4e89",
        "stroke-width": "0.35",
        "stroke-linecap": "round",
        "stroke-linejoin": "round",
    }
    assert group.attrib == wanted
    assert [data for data, _ in blue] == [
        "M10.4 40.4L30.4 0.4",
        "M20.4 30.4L20.4 30.4",
        "M10.4 40.4L20.4 40.4 20.4 20.4Z",
    ]
    assert [data for data, _ in red] == ["M0.4 50.4L5.4 45.4"]
    assert "transform" not in (tmp_path / "a.svg").read_text()


def test_a_plot_is_written_in_sheet_mm(tmp_path: Path) -> None:
    sheet = Sheet.iso("A5", landscape=True, at=(5.5, 10))
    write(plot(Drawing([[(5.5, 10), (215.5, 158)], [(6.501, 10.002)]]), sheet), tmp_path / "a.svg")
    root, (strokes,) = read(tmp_path / "a.svg")
    assert (root.attrib["width"], root.attrib["height"], root.attrib["viewBox"]) == (
        "210mm",
        "148mm",
        "0 0 210 148",
    )
    assert [data for data, _ in strokes] == ["M0 148L210 0", "M1.001 147.998L1.001 147.998"]


def test_a_plot_without_sheet_shows_the_bed(tmp_path: Path) -> None:
    write(
        plot(Drawing([[(0, 0), (215.9, 279.4)]]), on=machine(2, 215.9, 279.4)), tmp_path / "a.svg"
    )
    root, (strokes,) = read(tmp_path / "a.svg")
    assert root.attrib["viewBox"] == "0 0 215.9 279.4"
    assert [data for data, _ in strokes] == ["M0 279.4L215.9 0"]


def test_points_stay_as_planned_when_the_sheet_is_off_the_grid(tmp_path: Path) -> None:
    sheet = Sheet(100.25, 80, at=(3.125, 0.5))
    write(plot(Drawing([[(4, 1), (50, 60)]]), sheet, machine(0)), tmp_path / "a.svg")
    _, (strokes,) = read(tmp_path / "a.svg")
    assert [data for data, _ in strokes] == ["M0.875 79.5L46.875 20.5"]


def test_page_and_decimals(tmp_path: Path) -> None:
    drawing = Drawing([[(1.2345, 2), (3, 4)]])
    for page in (
        shapely.box(0, 0, 120, 80),
        Drawing([[(0, 0), (120, 0), (120, 80), (0, 80), (0, 0)]]),
    ):
        write(drawing, tmp_path / "a.svg", page=page, decimals=1)
        root, (strokes,) = read(tmp_path / "a.svg")
        assert root.attrib["viewBox"] == "0 0 120 80"
        assert [data for data, _ in strokes] == ["M1.2 78L3 76"]
    write(
        plot(drawing, Sheet(50, 50)),
        tmp_path / "a.svg",
        sheet=Sheet(10, 20, margin=1, at=(1, 2)),
        decimals=2,
    )
    root, (strokes,) = read(tmp_path / "a.svg")
    assert root.attrib["viewBox"] == "0 0 10 20"
    assert strokes[0][0] == "M0.23 20L2 18"


def test_a_drawing_in_sheet_mm_is_shown_on_its_whole_sheet(tmp_path: Path) -> None:
    sheet = Sheet.iso("A5", landscape=True, at=(5, 10))
    drawing = Drawing([[(20, 30), (40, 100)]])
    write(drawing, tmp_path / "a.svg", sheet=sheet)
    root, (strokes,) = read(tmp_path / "a.svg")
    assert root.attrib["viewBox"] == "0 0 210 148"
    assert root.attrib["width"] == "210mm"
    assert [data for data, _ in strokes] == ["M20 118L40 48"]
    write(plot(drawing.moved(5, 10), sheet), tmp_path / "b.svg")
    assert (tmp_path / "b.svg").read_bytes() == (tmp_path / "a.svg").read_bytes()


def test_sheet_and_page_are_told_apart(tmp_path: Path) -> None:
    target = tmp_path / "a.svg"
    drawing = Drawing([[(20, 30), (40, 100)]])
    with pytest.raises(InvalidValue, match="not both"):
        write(drawing, target, sheet=Sheet(120, 80), page=shapely.box(0, 0, 9, 9))
    with pytest.raises(InvalidValue, match=r"page must be an area, got a Sheet; write sheet="):
        write(drawing, target, page=Sheet(120, 80))  # type: ignore[arg-type]
    for wrong in ("A5", shapely.box(0, 0, 9, 9), (210, 148)):
        with pytest.raises(InvalidValue, match="sheet must be a Sheet"):
            write(drawing, target, sheet=wrong)  # type: ignore[arg-type]
    assert not target.exists()


@pytest.mark.parametrize("name", ["a.png", "a.gcode", "a.svg.txt", "a.1"])
def test_another_suffix_is_refused(name: str, tmp_path: Path) -> None:
    with pytest.raises(InvalidValue, match=r"path must end in \.svg.*got 'a\..*preview\.png"):
        write(Drawing([[(0, 0)]]), tmp_path / name)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("name", ["a.SVG", "a", ".svg"])
def test_upper_case_and_no_suffix_are_taken(name: str, tmp_path: Path) -> None:
    write(Drawing([[(0, 0)]]), tmp_path / name)
    assert (tmp_path / name).read_bytes().startswith(b"<?xml")


@settings(max_examples=80, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(0, 6), st.sampled_from([1e-3, 1.0, 200.0, 1e7]))
@example(9775, 6, 1e7)  # an edge at half a unit, where the last bit decides which way it rounds
def test_every_point_is_where_it_was_to_half_a_unit(
    tmp_path_factory: pytest.TempPathFactory, seed: int, decimals: int, size: float
) -> None:
    rng = np.random.default_rng(seed)
    drawing = Drawing([rng.normal(0, size, (n, 2)) for n in rng.integers(1, 6, 7)])
    path = tmp_path_factory.getbasetemp() / "point.svg"
    write(drawing, path, decimals=decimals)
    root, (strokes,) = read(path)
    left, _, _, top = drawing.bounds or (0, 0, 0, 0)
    scale = 10.0**decimals  # units a millimetre: a whole number, so that products round once
    wide, high = (float(word) for word in root.attrib["viewBox"].split()[2:])
    for points, (_, shown) in zip(drawing, strokes, strict=True):
        assert ((shown >= 0) & (shown <= (wide, high))).all()
        # The page's edges are rounded outwards, by less than a unit; repeated points on the grid
        # are written once.
        x = points[:, 0] * scale - np.floor((left - 0.2) * scale + 1e-4)
        y = np.ceil((top + 0.2) * scale - 1e-4) - points[:, 1] * scale
        wanted = np.column_stack([x, y])
        wanted = wanted[np.r_[True, (np.diff(np.rint(wanted), axis=0) != 0).any(axis=1)]]
        # Half a unit, and what a double of the page's size in units cannot tell: 1e-15 of it, a
        # tenth of a unit at most.
        slack = 1e-9 + 1e-15 * np.abs(drawing.points).max() * scale
        assert slack < 0.1
        np.testing.assert_allclose(
            np.rint(shown * scale)[: len(wanted)], wanted, rtol=0, atol=0.5 + slack
        )
        assert len(shown) == max(2, len(wanted))
    assert wide >= np.ptp(drawing.points[:, 0])
    assert high >= np.ptp(drawing.points[:, 1])


def test_empty_drawings_are_legal(tmp_path: Path) -> None:
    write(Drawing(), tmp_path / "a.svg")
    root, groups = read(tmp_path / "a.svg")
    assert root.attrib["viewBox"] == "0 0 1 1"
    assert groups == []
    write(plot(Drawing(), Sheet(120, 80)), tmp_path / "a.svg")
    assert read(tmp_path / "a.svg")[0].attrib["width"] == "120mm"


def test_strokes_that_collapse_stay_as_dots(tmp_path: Path) -> None:
    write(Drawing([[(0.0001, 0), (0.0002, 0), (0.0001, 0)], [(5, 5), (5, 5)]]), tmp_path / "a.svg")
    _, (strokes,) = read(tmp_path / "a.svg")
    assert [len(points) for _, points in strokes] == [2, 2]


def test_forbidden_characters_are_left_out_of_titles(tmp_path: Path) -> None:
    write(Drawing([[(0, 0)]]), tmp_path / "a.svg", title="a\x00\x1bb\ud800\ufffe]]>\r\n\tc")
    assert read(tmp_path / "a.svg")[0].findtext(f"{SVG}title") == "ab]]>\r\n\tc"


def test_same_input_same_bytes_and_line_feeds(tmp_path: Path) -> None:
    drawing = Drawing([np.random.default_rng(0).random((50, 2))])
    for name in "ab":
        write(drawing, tmp_path / f"{name}.svg")
    data = (tmp_path / "a.svg").read_bytes()
    assert data == (tmp_path / "b.svg").read_bytes()
    assert b"\r" not in data
    assert data.endswith(b"</svg>\n")


def test_files_are_written_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "a.svg"
    target.write_bytes(b"precious")
    target.chmod(0o640)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("os.fsync", full)
        with pytest.raises(NotWritten, match="No space left") as caught:
            write(Drawing([[(0, 0)]]), target)
    assert isinstance(caught.value, (PlotlibError, OSError))
    assert target.read_bytes() == b"precious"
    assert list(tmp_path.iterdir()) == [target]
    write(Drawing([[(0, 0)]]), target)
    assert target.stat().st_mode & 0o777 == 0o640
    assert list(tmp_path.iterdir()) == [target]


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real.svg").write_text("old")
    try:
        (tmp_path / "link.svg").symlink_to(tmp_path / "real.svg")
    except OSError:
        pytest.skip("no symbolic links here")
    write(Drawing([[(0, 0)]]), tmp_path / "link.svg")
    assert (tmp_path / "link.svg").is_symlink()
    assert (tmp_path / "real.svg").read_bytes().startswith(b"<?xml")


def test_wrong_paths_are_named(tmp_path: Path) -> None:
    drawing = Drawing([[(0, 0)]])
    with pytest.raises(NotWritten, match=r"there is no folder .*missing; make it first"):
        write(drawing, tmp_path / "missing" / "a.svg")
    with pytest.raises(NotWritten, match="it is a folder"):
        write(drawing, tmp_path)
    for wrong in (3, None, b"a.svg", "a\x00.svg", ""):
        with pytest.raises(InvalidValue, match="path must be"):
            write(drawing, wrong)  # type: ignore[arg-type]


def test_wrong_values_are_named(tmp_path: Path) -> None:
    target = tmp_path / "a.svg"
    with pytest.raises(InvalidValue, match="got list"):
        write([[(0, 0)]], target)  # type: ignore[arg-type]
    with pytest.raises(InvalidValue, match="decimals must be from 0 to 6"):
        write(Drawing(), target, decimals=7)
    with pytest.raises(InvalidValue, match="page"):
        write(Drawing(), target, page=shapely.Polygon())
    with pytest.raises(InvalidValue, match="title"):
        write(Drawing(), target, title=3)  # type: ignore[arg-type]
    assert not target.exists()


def test_strokes_stay_in_order_unless_layers_are_asked_for(tmp_path: Path) -> None:
    drawing = (
        Drawing([[(0, 0), (9, 0)]], pen=BLUE)
        + Drawing([[(0, 1), (9, 1)]], pen=RED)
        + Drawing([[(0, 2), (9, 2)]], pen=BLUE)
    )
    write(drawing, tmp_path / "a.svg")
    root, groups = read(tmp_path / "a.svg")
    assert [group.findtext(f"{SVG}title") for group in root.findall(f"{SVG}g")] == [
        BLUE.name,
        RED.name,
        BLUE.name,
    ]
    assert [len(strokes) for strokes in groups] == [1, 1, 1]
    write(drawing, tmp_path / "b.svg", layers=True)
    root, groups = read(tmp_path / "b.svg")
    assert [len(strokes) for strokes in groups] == [2, 1]


def test_a_round_or_turned_sheet_lies_below_the_strokes_and_is_no_stroke(tmp_path: Path) -> None:
    machine = Machine(
        width=200,
        height=200,
        x=Axis(9_000),
        y=Axis(9_000),
        lift=ServoLift("M5", "M3 S90"),
        feed=600,
    )
    line = Drawing([[(20, 20), (30, 25)]])
    for sheet in (Sheet.round(50, at=(9, 9)), Sheet(50, 40, at=(60, 9), angle=30)):
        plot = plan(line, machine, sheet=sheet)
        write(plot, tmp_path / "sheet.svg")
        text = (tmp_path / "sheet.svg").read_text()
        found = re.search(r'<path fill="(#\w+)" fill-rule="evenodd" d="([^"]+)Z"', text)
        assert found
        numbers = [float(part) for part in re.findall(r"-?[\d.]+", found[2])]
        left, _, _, top = sheet.on_bed.bounds
        shown = shapely.Polygon(np.array(numbers).reshape(-1, 2) * (1, -1) + (left, top))
        assert shown.symmetric_difference(sheet.on_bed).area < 0.2
        back = read_svg(tmp_path / "sheet.svg").drawing
        assert len(back) == 1
        assert back.length == pytest.approx(line.length, abs=0.01)
    write(line, tmp_path / "plain.svg", sheet=Sheet(50, 40, at=(60, 9), angle=30))
    assert "evenodd" not in (tmp_path / "plain.svg").read_text()


def test_the_paper_of_a_shaped_sheet_is_not_read_as_an_area(tmp_path: Path) -> None:
    sheet = Sheet.round(60)
    drawing = circle((30, 30), 10)
    write(drawing, tmp_path / "round.svg", sheet=sheet)
    art = read_svg(tmp_path / "round.svg", fills="outline")
    assert len(art.areas) == 0
    assert len(art.drawing) == 1
    assert art.drawing.bounds == pytest.approx((20, 20, 40, 40), abs=0.01)
