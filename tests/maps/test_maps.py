"""Maps: GeoJSON by the clauses of RFC 7946, the cut at 180 degrees, and charts on a sheet."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from plotlib import maps
from plotlib.errors import InvalidValue, NotRead, UnknownName
from plotlib.maps import Chart, cut_at, read
from plotlib.pen import Pen
from plotlib.sheet import Sheet

PAPER = shapely.box(0, 0, 120, 300)
CHART = Chart((-8, 56, -7, 57), PAPER, projection="mercator")


def test_geojson_as_a_file_text_and_value(tmp_path: Path) -> None:
    ring = [[0, 0], [4, 0], [4, 3], [0, 0]]
    value = {
        "type": "FeatureCollection",
        "features": [
            {"type": "Feature", "properties": {}, "geometry": None},  # 3.2: unlocated
            {"type": "Feature", "geometry": {"type": "Polygon", "coordinates": [ring]}},
            {"type": "Feature", "geometry": {"type": "Point", "coordinates": [1, 2, 300]}},
        ],
    }
    path = tmp_path / "isles.geojson"
    path.write_text(json.dumps(value), encoding="utf-8")
    for given_as in (value, json.dumps(value), path, str(path)):
        found = read(given_as)
        assert [part.geom_type for part in found.geoms] == ["Polygon", "Point"]
        assert found.geoms[0].area == 6
        assert found.geoms[1].coords[0] == (1, 2)


@pytest.mark.parametrize(
    ("kind", "coordinates", "wkt"),
    [
        ("Point", [1, 2], "POINT (1 2)"),
        ("MultiPoint", [[1, 2], [3, 4]], "MULTIPOINT ((1 2), (3 4))"),
        ("LineString", [[1, 2], [3, 4]], "LINESTRING (1 2, 3 4)"),
        ("MultiLineString", [[[1, 2], [3, 4]]], "MULTILINESTRING ((1 2, 3 4))"),
        (
            "MultiPolygon",
            [[[[0, 0], [9, 0], [9, 9], [0, 0]], [[3, 1], [5, 1], [5, 2], [3, 1]]]],
            "MULTIPOLYGON (((0 0, 9 0, 9 9, 0 0), (3 1, 5 1, 5 2, 3 1)))",
        ),
    ],
)
def test_each_kind_of_geometry(kind: str, coordinates: list[object], wkt: str) -> None:
    found = read({"type": kind, "coordinates": coordinates})
    assert found.equals(shapely.from_wkt(wkt))
    assert read(wkt).equals(found)


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"type": "Polygon", "coordinates": [[[0, 0], [1, 0], [1, 1]]]}, "four positions"),
        ({"type": "Polygon", "coordinates": [[[0, 0], [1, 0], [1, 1], [2, 2]]]}, "the last as"),
        ({"type": "Point", "coordinates": ["a", 1]}, r"\$\.coordinates"),
        ({"type": "LineString", "coordinates": [[0, 0]]}, "two positions"),
        ({"type": "Circle"}, "type must be"),
        ({"type": "FeatureCollection"}, "features"),
        ({"type": "LineString", "coordinates": [[0, 0], [0, 91]]}, "latitudes from -90 to 90"),
        ("{broken", "no JSON"),
        ("POLYGON ((0 0", "no"),
        (3, "must be GeoJSON"),
    ],
)
def test_what_is_no_map_is_refused_by_its_place(wrong: object, told: str) -> None:
    with pytest.raises((InvalidValue, NotRead), match=told):
        read(wrong)


def test_deep_collections_end_in_an_error() -> None:
    value: dict[str, object] = {"type": "Point", "coordinates": [0, 0]}
    for _ in range(500):
        value = {"type": "GeometryCollection", "geometries": [value]}
    with pytest.raises(InvalidValue, match="deep"):
        read(value)


def test_a_line_across_180_degrees_is_cut_there() -> None:
    # RFC 7946, 3.1.9: the printed example
    found = cut_at({"type": "LineString", "coordinates": [[170, 45], [-170, 45]]})
    assert [list(part.coords) for part in found.geoms] == [
        [(170, 45), (180, 45)],
        [(-180, 45), (-170, 45)],
    ]


def test_an_area_across_180_degrees_is_cut_there() -> None:
    # RFC 7946, 3.1.9: the square around (180, 45) that the second example cuts
    ring = [[170, 40], [-170, 40], [-170, 50], [170, 50], [170, 40]]
    found = cut_at({"type": "Polygon", "coordinates": [ring]})
    boxes = sorted(part.bounds for part in found.geoms)
    assert boxes == [(-180, 40, -170, 50), (170, 40, 180, 50)]


def test_where_a_line_crosses() -> None:
    # straight in longitude and latitude, (170, 10) to (190, 20) meets 180 at 15, by hand
    found = cut_at("LINESTRING (170 10, -170 20)")
    assert found.geoms[0].coords[-1] == (180, 15)


def test_a_ring_round_a_pole_holds_the_pole() -> None:
    cap = [[lon, -70] for lon in range(-180, 180, 10)]
    found = cut_at({"type": "Polygon", "coordinates": [[*cap, cap[0]]]})
    assert found.area == pytest.approx(360 * 20)
    assert found.bounds == (-180, -90, 180, -70)


@settings(deadline=None, max_examples=25)
@given(
    st.floats(-180, 180), st.floats(-60, 60), st.floats(1, 40), st.integers(3, 9), st.floats(0, 180)
)
def test_a_cut_keeps_the_area(
    lon: float, lat: float, radius: float, corners: int, meridian: float
) -> None:
    turns = np.linspace(0, 2 * math.pi, corners, endpoint=False)
    ring = np.column_stack([lon + radius * np.cos(turns), lat + radius / 2 * np.sin(turns)])
    whole = shapely.Polygon(ring)
    wrapped = shapely.Polygon(np.column_stack([(ring[:, 0] + 180) % 360 - 180, ring[:, 1]]))
    found = cut_at(wrapped, meridian)
    assert found.area == pytest.approx(whole.area, rel=1e-9)
    assert meridian - 360 - 1e-9 <= found.bounds[0]
    assert found.bounds[2] <= meridian + 1e-9


def test_a_mercator_chart_is_true_by_hand() -> None:
    assert CHART.at([(-7.5, 56.0)])[0] == pytest.approx([60, CHART.frame.bounds[1]])
    # meridians are upright, so a quarter of the width lies at a quarter of the degrees
    line = CHART.strokes("LINESTRING (-7.75 56.1, -7.75 56.9)")
    assert line.bounds[0] == pytest.approx(30)
    assert line.bounds[2] == pytest.approx(30)
    assert len(line[0]) == 2


def test_what_lies_beyond_the_frame_is_cut_off() -> None:
    coast = CHART.strokes("LINESTRING (-20 56.5, 20 56.5)", pen=Pen("coast"))
    assert coast.length == pytest.approx(120)
    assert coast.pens[0].name == "coast"
    assert len(CHART.strokes("LINESTRING (3 56.5, 20 56.5)")) == 0
    assert CHART.area("LINESTRING (3 56.5, 20 56.5)").is_empty


def test_edges_are_straight_in_degrees_and_curves_on_paper() -> None:
    conic = Chart((-30, 40, 30, 70), shapely.box(0, 0, 200, 200), tolerance=0.05)
    parallel = conic.strokes("LINESTRING (-25 50, 25 50)")[0]
    lons = np.linspace(-25, 25, 999)
    true = conic.at(np.column_stack([lons, np.full(999, 50.0)]))
    far = shapely.distance(shapely.points(true), shapely.LineString(parallel)).max()
    assert far <= 0.05 + 0.01
    assert np.ptp(parallel[:, 1]) > 5


def test_a_chart_across_180_degrees() -> None:
    # RFC 7946, 5.2: the box [177, -20, -178, -16] spans 5 degrees
    fiji = Chart((177, -20, -178, -16), shapely.box(0, 0, 100, 100), projection="equirectangular")
    line = fiji.strokes({"type": "LineString", "coordinates": [[178, -18], [-179, -18]]})
    assert len(line) == 1
    assert line.length == pytest.approx(60)
    # by hand: the meridian of 180 degrees and the frame; 177 and 182 are no multiples of 5
    assert len(fiji.graticule((5, 4), height=None)) == 2


def test_the_far_side_of_the_earth_is_not_drawn() -> None:
    globe = Chart((-60, -60, 60, 60), PAPER, projection="+proj=ortho +lat_0=0 +lon_0=0")
    equator = globe.strokes("LINESTRING (-170 0, 170 0)")
    assert len(equator) <= 1
    with pytest.raises(InvalidValue, match="shows nothing"):
        globe.area("POLYGON ((0 0, 150 0, 150 40, 0 40, 0 0))")
    with pytest.raises(InvalidValue, match="does not show all"):
        Chart((-170, -60, 170, 60), PAPER, projection="+proj=ortho +lat_0=0 +lon_0=0")


def test_a_graticule_has_its_lines_and_labels() -> None:
    bare = CHART.graticule(0.25, height=None)
    # by hand: three meridians and three parallels inside, and the frame
    assert len(bare) == 7
    assert bare.bounds == pytest.approx(CHART.frame.bounds)
    labelled = CHART.graticule(0.25, height=2.5)
    left, bottom, _, _ = labelled.bounds
    assert left < bare.bounds[0] - 2.5
    assert bottom < bare.bounds[1] - 2.5
    with pytest.raises(InvalidValue, match="wider spacing"):
        CHART.graticule(1e-6)


@pytest.mark.parametrize(
    ("degrees", "told"),
    [
        (56.5, "56°30′N"),
        (-56, "56°S"),
        (0, "0°"),
        (0.51, "0°30′36″N"),
        (12 + 1 / 60, "12°01′N"),
        (59.9999999999, "60°N"),
    ],
)
def test_degrees_are_spelled_with_minutes_and_seconds(degrees: float, told: str) -> None:
    from plotlib.maps.graticule import _spelled

    assert _spelled(degrees, "N", "S") == told


def test_a_scale_bar_holds_for_its_latitude() -> None:
    # WGS 84: a degree of longitude is pi / 180 * a * cos(lat) / sqrt(1 - e2 * sin(lat)^2)
    def degree(lat: float) -> float:
        rad = math.radians(lat)
        return (
            math.pi
            / 180
            * 6378137
            * math.cos(rad)
            / math.sqrt(1 - 0.00669437999014 * math.sin(rad) ** 2)
        )

    for lat in (56.0, 56.5, 57.0):
        bar = CHART.scale_bar((0, 0), step=5, count=2, latitude=lat)
        assert np.ptp(bar[0][:, 0]) == pytest.approx(10_000 * 120 / degree(lat), rel=1e-6)
    with pytest.raises(InvalidValue):
        CHART.scale_bar((0, 0), step=5, latitude=58)
    with pytest.raises(UnknownName):
        CHART.scale_bar((0, 0), step=5, unit="leagues")


@pytest.mark.parametrize("name", sorted(maps.projecting.NAMED))
def test_every_named_projection_fits_its_sheet(name: str) -> None:
    sheet = Sheet(200, 150, margin=10)
    chart = Chart((-10, 50, 5, 60), sheet, projection=name)
    left, bottom, right, top = chart.frame.bounds
    assert left >= 10 - 1e-9
    assert bottom >= 10 - 1e-9
    assert right <= 190 + 1e-9
    assert top <= 140 + 1e-9
    assert right - left == pytest.approx(180) or top - bottom == pytest.approx(130)


@pytest.mark.parametrize(
    "options",
    [
        {"extent": (1, 2, 3)},
        {"extent": (0, 10, 5, 5)},
        {"extent": (0, -95, 5, 5)},
        {"projection": "flat"},
        {"projection": "+proj=nothing"},
        {"projection": "EPSG:4326"},
        {"projection": 3},
        {"tolerance": 0},
        {"region": shapely.Polygon()},
    ],
)
def test_what_makes_no_chart(options: dict[str, object]) -> None:
    arguments: dict[str, object] = {"extent": (0, 0, 5, 5), "region": PAPER, **options}
    with pytest.raises((InvalidValue, UnknownName)):
        Chart(**arguments)  # type: ignore[arg-type]


@pytest.mark.parametrize("projection", ["lambert conformal", "albers equal-area"])
def test_a_cone_on_the_equator_is_refused_with_another_way(projection: str) -> None:
    with pytest.raises(InvalidValue, match=r"whose middle is the equator .*projection='mercator'"):
        Chart((0, -20, 30, 20), PAPER, projection=projection)
    assert len(Chart((0, -20, 30, 20), PAPER, projection="mercator").graticule(10))


def test_a_name_of_a_chart_is_no_definition() -> None:
    with pytest.raises(InvalidValue, match="a name that a Chart fits to its extent"):
        maps.project([(0, 0)], "mercator")
