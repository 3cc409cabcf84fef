import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Point, Polygon, box

from plotlib import Pen, fields
from plotlib.errors import InvalidValue
from tests.oracles_fields import covered, nearest_lines
from tests.outside import MEMORY, published

DIAGONAL = [(-23.93, -23.93), (27.13, 27.13), (27.13, 0)]
ESCAPES = [
    ("curl", 20000, 28.05938916618017, 1.5, 0.7768799978092311),
    ("gradient", 614237, 6.311201070813916, 0.25, 0.24211464900022506),
]

SHEET = box(0, 0, 60, 45)
FIELDS = {
    "smooth curl": fields.perlin(scale=30, seed=4).curl(),
    "rough curl": fields.perlin(scale=30, seed=5, octaves=3).curl(),
    "gradient": fields.perlin(scale=40, seed=2).gradient(),
    "vortex and stream": fields.uniform(20) + fields.vortex((20, 20), speed=2, core=5),
    "sink": fields.source((31, 22), speed=-1, core=3),
    "constant": fields.uniform(37),
}


@pytest.fixture(scope="module")
def drawn():
    return {name: fields.streamlines(field, SHEET, spacing=1) for name, field in FIELDS.items()}


@published(
    module="fields",
    source="B. Jobard, W. Lefer, Visualization in Scientific Computing 1997: test distance",
    kind=MEMORY,
    printed=0.5,
    claim="no two streamlines come nearer than this share of their spacing",
)
@pytest.mark.parametrize("name", FIELDS)
def test_distance_coverage_and_length(drawn, name, printed):
    """B. Jobard, W. Lefer 1997: lines no nearer than the test distance, half the spacing; no
    hole much wider than the spacing.
    """
    lines = drawn[name]
    spots = np.random.default_rng(1).uniform((0, 0), (60, 45), (5_000, 2))
    assert nearest_lines(lines) >= printed
    assert covered(lines, spots, 1.0) > (
        0.98 if name == "rough curl" else 0.99
    )  # rough: its whirls are seven spacings wide
    assert covered(lines, spots, 3.0) == 1
    assert lines.lengths.min() >= 2.4
    assert np.mean(lines.lengths < 4.9) < 0.1  # only in holes around critical points
    assert lines.lengths.mean() > 14


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("kind", ["curl", "gradient"])
def test_long_lines_and_no_holes_at_a_plotting_scale(kind, seed):
    """Noise of 60 mm at 1 mm over an A5 sheet: 25 spacings in the mean, 99.5 % of the area
    within one spacing.
    """
    area = box(0, 0, 210, 148)
    noise = fields.perlin(scale=60, seed=seed)
    found = fields.evenness(
        fields.streamlines(getattr(noise, kind)(), area, spacing=1), area, spacing=1
    )
    assert found.mean >= 25
    assert found.covered >= 0.995
    assert found.nearest >= 0.5
    assert found.widest < 3


@pytest.mark.parametrize("name", FIELDS)
def test_lines_follow_the_field(drawn, name):
    lines = drawn[name]
    steps = np.diff(lines.points, axis=0)
    keep = np.ones(len(steps), bool)
    keep[lines.offsets[1:-1] - 1] = False
    middle = ((lines.points[1:] + lines.points[:-1]) / 2)[keep]
    u, v = FIELDS[name](*middle.T)
    along = (
        (steps[keep] * np.stack([u, v], axis=1)).sum(axis=1)
        / np.hypot(u, v)
        / np.hypot(*steps[keep].T)
    )
    assert np.mean(along > np.cos(np.radians(2))) > 0.97
    assert np.mean(along < 0) < 0.002  # drawn along the flow, not against it


def test_stays_in_areas_with_holes_and_parts():
    area = MultiPolygon(
        [
            Point(15, 20).buffer(14).difference(Point(15, 20).buffer(4)),
            box(40, 2, 58, 12),
            Polygon([(35, 20), (58, 25), (40, 44)]),
        ]
    )
    lines = fields.streamlines(FIELDS["smooth curl"], area, spacing=0.8)
    assert shapely.covers(area, shapely.union_all(lines.to_shapely()))
    assert all(lines.clipped(part).length > 0.6 * part.area for part in area.geoms)


def test_concave_edges_and_slits_are_not_jumped():
    comb = shapely.union_all([box(0, 0, 40, 5)] + [box(x, 0, x + 1.5, 30) for x in range(0, 40, 3)])
    lines = fields.streamlines(fields.uniform(3), comb, spacing=0.5, shortest=0.5)
    assert shapely.covers(comb, shapely.union_all(lines.to_shapely()))
    assert covered(lines, np.random.default_rng(0).uniform((0, 6), (1.5, 29), (500, 2)), 0.6) > 0.9


def test_loops_are_closed_exactly():
    rings = fields.streamlines(fields.vortex((0, 0), core=8), Point(0, 0).buffer(30), spacing=1.5)
    assert rings.is_closed.mean() > 0.9
    assert len(rings) == pytest.approx(20, abs=3)


def test_spirals_do_not_meet_themselves():
    spiral = fields.vortex((0, 0), core=5) + fields.source((0, 0), core=5) * 0.03
    lines = fields.streamlines(spiral, Point(0, 0).buffer(25), spacing=1)
    for stroke in lines:
        whole = shapely.linestrings(stroke)
        assert whole.is_simple
        if len(stroke) > 60 and not np.array_equal(stroke[0], stroke[-1]):
            head = shapely.linestrings(stroke[:20])
            tail = shapely.linestrings(stroke[-20:])
            assert shapely.distance(head, tail) > 0.45


def test_spacing_as_a_field_shades():
    apart = (fields.ramp() * 0.04 + 0.4).maximum(0.4)
    lines = fields.streamlines(fields.uniform(90), SHEET, spacing=apart)
    left = lines.clipped(box(0, 0, 20, 45)).length
    right = lines.clipped(box(40, 0, 60, 45)).length
    assert left / right == pytest.approx(
        np.log(3) / np.log(1.4), rel=0.15
    )  # the integrals of 1 / spacing
    found = fields.evenness(lines, SHEET, spacing=apart)
    assert found.nearest > 0.45
    assert found.covered > 0.98


def test_longest_first_makes_fewer_and_longer_lines(drawn):
    plain = fields.streamlines(FIELDS["rough curl"], SHEET, spacing=1, order="seed")
    best = drawn["rough curl"]
    assert best.lengths.mean() > 1.05 * plain.lengths.mean()


def test_test_distance():
    near, far = (
        fields.streamlines(FIELDS["gradient"], SHEET, spacing=1.5, test=test) for test in (0.3, 0.9)
    )
    assert nearest_lines(near) >= 0.45
    assert nearest_lines(far) >= 1.35
    assert near.lengths.mean() > far.lengths.mean()


def test_shortest_and_taper():
    lines = fields.streamlines(FIELDS["rough curl"], SHEET, spacing=1, shortest=9)
    assert lines.lengths.min() >= 8.9
    options = {"spacing": 1, "shortest": 9, "taper": 2, "pen": Pen("fine")}
    soft = fields.streamlines(FIELDS["rough curl"], SHEET, taper_edge=True, **options)
    assert len(soft) == len(lines)
    short = lines.lengths - soft.lengths
    assert short[lines.is_closed].max(initial=0) == 0
    assert short.max() <= 4.0001
    assert 1.5 < short[~lines.is_closed].mean() < 2.5


def test_a_taper_spares_the_ends_on_the_edge():
    """They stood back from the edge at random, which frayed every sheet."""
    lines = fields.streamlines(FIELDS["rough curl"], SHEET, spacing=1, shortest=9)
    soft = fields.streamlines(FIELDS["rough curl"], SHEET, spacing=1, shortest=9, taper=2)
    edge = shapely.points(ends(lines))
    on_edge = shapely.distance(edge, SHEET.boundary) < 0.05
    moved = np.hypot(*(ends(lines) - ends(soft)).T)
    opened = ~np.repeat(lines.is_closed, 2)
    assert on_edge.sum() > 50
    assert moved[on_edge].max() == 0
    assert 0.8 < moved[opened & ~on_edge].mean() < 1.2
    assert (moved[opened & ~on_edge] > 0).all()


def ends(drawing):
    """The first and last points of all strokes (2 M, 2)."""
    rows = np.stack([drawing.offsets[:-1], drawing.offsets[1:] - 1], axis=1)
    return drawing.points[rows.ravel()]


def test_seed_and_bytes():
    first, again, other = (
        fields.streamlines(FIELDS["gradient"], SHEET, spacing=2, seed=seed) for seed in (1, 1, 2)
    )
    assert first == again
    assert first != other


def test_progress_is_told_only_when_asked(capsys):
    told = []
    fields.streamlines(FIELDS["gradient"], SHEET, spacing=0.6, progress=told.append)
    assert told[-1] == 1
    assert all(0 <= share <= 1 for share in told)
    fields.streamlines(FIELDS["gradient"], SHEET, spacing=3)
    assert capsys.readouterr() == ("", "")
    fields.streamlines(FIELDS["gradient"], SHEET, spacing=3, progress=True)
    assert "streamlines" in capsys.readouterr().err


def test_room_is_made_where_the_first_guess_was_too_small(monkeypatch):
    wanted = fields.streamlines(FIELDS["smooth curl"], SHEET, spacing=1)
    from plotlib.fields import evenly

    made = evenly._state
    monkeypatch.setattr(
        evenly, "_state", lambda bounds, test, samples, lines: made(bounds, test, 700, 5)
    )
    assert fields.streamlines(FIELDS["smooth curl"], SHEET, spacing=1) == wanted


def test_thin_empty_and_still():
    assert len(fields.streamlines(fields.uniform(), Polygon(), spacing=1)) == 0
    assert len(fields.streamlines(fields.uniform(), box(0, 0, 50, 0.02), spacing=1)) == 0
    assert len(fields.streamlines(fields.uniform(), box(0, 0, 50, 0.2), spacing=1)) == 1
    assert len(fields.streamlines(fields.uniform(speed=0), SHEET, spacing=1)) == 0


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"spacing": 0}, "spacing must be greater than 0"),
        ({"spacing": 1, "test": 1.2}, "test must be from 0.05 to 1"),
        ({"spacing": fields.ramp()}, r"spacing is 0 mm at \(0, "),
        ({"spacing": 1, "taper": -1}, "taper must be at least 0"),
        ({"spacing": 1, "tolerance": 0}, "tolerance must be greater than 0"),
        ({"spacing": 1e-6}, "take"),
    ],
)
def test_refusals(options, words):
    with pytest.raises(InvalidValue, match=words):
        fields.streamlines(fields.uniform(), SHEET, **options)


def test_refuses_fields_that_are_not_finite():
    holed = fields.flow(lambda x, y: (1 / np.where(x > 30, 0.0, 1.0), y))
    with np.errstate(divide="ignore"), pytest.raises(InvalidValue, match="the vector field is"):
        fields.streamlines(holed, SHEET, spacing=1)


@pytest.mark.parametrize("corners", [[(0, 0), (14.82, 14.82), (0, 14.82)], DIAGONAL])
def test_a_seed_on_the_edge_lets_no_line_out(corners, monkeypatch):
    """Seeds between rows and columns of equal pitch can lie on a diagonal edge to the last bit; a
    line from there went out, to run on until the memory was full or the table of cells was left.
    """
    from plotlib.fields import evenly

    def refused(state):
        raise AssertionError("there is room for all samples of an area")

    monkeypatch.setattr(evenly, "_enlarged", refused)
    area = Polygon(corners)
    for kind, seed, scale, spacing, test in ESCAPES:
        noise = fields.perlin(scale=scale, seed=seed % 1000, octaves=1 + seed % 1000 % 3)
        field = noise.curl() if kind == "curl" else noise.gradient()
        lines = fields.streamlines(field, area, spacing=spacing, test=test, seed=seed)
        assert shapely.covers(area, shapely.union_all(lines.to_shapely()))


@pytest.mark.parametrize(("octaves", "seed"), [(2, 4), (3, 2)])
def test_the_whole_spacing_can_be_kept(octaves, seed):
    """A loop that was closing did not see other lines behind its own start, and seeds stood nearer
    than the test distance allows.
    """
    field = fields.perlin(scale=5, seed=seed, octaves=octaves).curl()
    lines = fields.streamlines(field, Point(0, 0).buffer(6), spacing=1, test=1.0, seed=seed)
    assert len(lines) >= 5
    assert nearest_lines(lines) >= 1.0
