"""Every public maker, arguments it takes, and values it must refuse: for the walk over wrong calls.

Makers are found through the public names of the rooms, so that a new one is walked as soon as it
is exported; ``GIVEN`` holds the arguments that each needs.
"""

from __future__ import annotations

import inspect
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any, NamedTuple

import matplotlib
import numpy as np
import shapely

import plotlib as pl
from plotlib import (
    calibration,
    curves,
    dxf,
    fields,
    fills,
    gcode,
    growth,
    images,
    maps,
    preview,
    regions,
    sets,
    shapes,
    streaming,
    svg,
    symmetry,
    testing,
    text,
    tidying,
    tilings,
)
from plotlib.text.setting.style import Options

ROOMS = {
    "calibration": calibration,
    "sets": sets,
    "shapes": shapes,
    "curves": curves,
    "fills": fills,
    "fields": fields,
    "regions": regions,
    "text": text,
    "tidying": tidying,
    "gcode": gcode,
    "growth": growth,
    "images": images,
    "maps": maps,
    "svg": svg,
    "dxf": dxf,
    "symmetry": symmetry,
    "tilings": tilings,
    "preview": preview,
    "streaming": streaming,
    "testing": testing,
}
TOP = (
    "Axis",
    "Corrections",
    "Dialogue",
    "Drawing",
    "HeightMap",
    "KeepOut",
    "Machine",
    "Pen",
    "ServoLift",
    "Sheet",
    "SolenoidLift",
    "ZLift",
    "plan",
)

# Values that the library hands out and nobody makes.
RESULTS = {
    "dxf.DxfWarning",
    "calibration.Fit",
    "fields.Evenness",
    "fills.Coverage",
    "fills.OneStrokeWarning",
    "fills.SolidFill",
    "images.Judgement",
    "gcode.Toolpath",
    "svg.Area",
    "svg.Artwork",
    "svg.Ink",
    "svg.LeftOut",
    "svg.SvgWarning",
    "sets.Member",
    "streaming.Event",
    "streaming.LogError",
    "streaming.NotProven",
    "streaming.Outcome",
    "streaming.PortGone",
    "streaming.PortStuck",
    "streaming.Rest",
    "streaming.Stream",
    "streaming.StreamFault",
    "symmetry.WallpaperGroup",
    "text.LetteringWarning",
    "text.Measure",
    "text.Practice",
    "tidying.Arc",
    "tilings.DiscTiling",
    "tilings.Tiling",
    "tilings.Weave",
}

AREA = shapely.box(0, 0, 30, 20)
PEN = pl.Pen("blue", width=0.5)
RING = shapes.rectangle((0, 0), 30, 20)
ROWS = pl.Drawing([[(0, y), (30, y)] for y in range(0, 21, 4)])
MACHINE = pl.Machine(
    width=100,
    height=80,
    x=pl.Axis(5_000),
    y=pl.Axis(5_000),
    lift=pl.ZLift(4, 0, 600),
    feed=1_000,
    prologue="G0 Z4",
)
A5 = pl.Sheet.iso("A5")
SERVO = pl.ServoLift("M5", "M3")
SPOKEN = pl.plan(ROWS, replace(MACHINE, dialogue=pl.Dialogue(accepted="taken", refused="cannot")))
HILL = fields.ramp(30)
TURNING = fields.vortex((15, 10))
FONT = Path(matplotlib.get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf"
SVG = '<svg width="40mm" height="30mm"><path d="M0 0h50v50z" stroke="navy"/></svg>'
DUSK = images.Tone([[0.2, 0.8], [0.5, 1.0]], (0.0, 0.0, 10.0, 10.0))
CHART = maps.Chart((-8, 56, -7, 57), AREA, projection="mercator")
DXF = "0 SECTION 2 ENTITIES 0 LINE 8 0 10 1 20 2 11 31 21 42 0 ENDSEC 0 EOF".replace(" ", "\n")
SQUARE = [(0, 0), (10, 0), (10, 10), (0, 10)]


def star_design(seed: int = 0) -> pl.Drawing:
    """A design for what takes one."""
    return shapes.star((10, 10), 8, tips=5 + seed % 4)


class Answering:
    """A port at whose other end every line is taken at once, again and again."""

    def __init__(self) -> None:
        self.lines = 0
        self.time = 0.0

    def now(self) -> float:
        self.time += 0.01
        return self.time

    def write(self, data: bytes, seconds: float) -> None:
        self.lines += data.count(b"\n")

    def read(self, seconds: float) -> bytes:
        self.time += seconds
        said = b"taken\n" * self.lines
        self.lines = 0
        return said

    def close(self) -> None:
        self.lines = 0


def _stopped_log() -> str:
    """The log of a plot that was stopped on its way."""
    path = Path(tempfile.mkdtemp()) / "log.jsonl"
    with streaming.stream(SPOKEN, port=Answering(), log=path) as going:
        for event in going:
            if event.kind == "begin":
                going.stop(at_once=True)
    return str(path)


class Maker(NamedTuple):
    """A public function, class or method under its public name; ``given``: valid arguments."""

    name: str
    call: Callable[..., Any]
    given: dict[str, Any]


COINS = [(0.0, 0.0, 10.0), (20.0, 0.0, 10.0), (10.0, 300**0.5, 10.0)]
LOG = _stopped_log()

# What most makers call by one name; each takes what its signature has no default for.
USUAL: dict[str, Any] = {
    "amplitude": 2.0,
    "axiom": "F",
    "centre": (15.0, 10.0),
    "corner": (1.0, 2.0),
    "core": 1.0,
    "count": 6,
    "depth": 3,
    "drawing": ROWS,
    "end": (20.0, 5.0),
    "ends": [(20.0, 5.0), (3.0, 4.0)],
    "extent": (0.0, 0.0, 10.0, 10.0),
    "height": 8.0,
    "machine": MACHINE,
    "pen": PEN,
    "points": SQUARE,
    "radius": 8.0,
    "region": AREA,
    "scale": 10.0,
    "size": 10.0,
    "spacing": 2.0,
    "start": (1.0, 2.0),
    "starts": [(1.0, 2.0), (0.0, 0.0)],
    "text": "Skerrow",
    "tone": DUSK,
    "wavelength": 5.0,
    "width": 12.0,
    "within": 3.0,
}

GIVEN: dict[str, dict[str, Any]] = {
    "Axis": {"rate": 5_000},
    "Corrections": {},
    "Dialogue": {"accepted": "taken", "refused": "cannot"},
    "Drawing": {"strokes": [SQUARE]},
    "HeightMap": {"x": (0, 100), "y": (0, 80), "heights": [(0, 0.2), (0, 0)]},
    "KeepOut": {"area": AREA},
    "Machine": {
        "width": 100,
        "height": 80,
        "x": pl.Axis(5_000),
        "y": pl.Axis(5_000),
        "lift": pl.ServoLift("M5", "M3"),
        "feed": 1_000,
    },
    "Pen": {"name": "blue"},
    "ServoLift": {"up": "M5", "down": "M3"},
    "Sheet": {"width": 100.0, "height": 80.0},
    "SolenoidLift": {
        "pull": "M3 S255",
        "hold": "M3 S70",
        "release": "M5",
        "pull_time": 0.05,
        "holds": "down",
    },
    "ZLift": {"up": 4.0, "down": 0.0, "feed": 600.0},
    "plan": {},
    "calibration.backlash_comb": {"sheet": A5},
    "calibration.border": {},
    "calibration.corrected": {"corrections": pl.Corrections(scale_x=1.01)},
    "calibration.feed_ladder": {"sheet": A5, "feeds": [1_000, 2_000]},
    "calibration.flatness_grid": {"sheet": A5},
    "calibration.from_frame": {
        "width": 200.0,
        "height": 150.0,
        "measured_width": 200.1,
        "measured_height": 150.0,
        "rising": 250.0,
        "falling": 250.2,
    },
    "calibration.from_marks": {"wanted": SQUARE, "measured": SQUARE},
    "calibration.from_heights": {
        "sheet": A5,
        "readings": dict.fromkeys(("A1", "B1", "A2", "B2"), 0.1),
        "columns": 2,
        "rows": 2,
    },
    "calibration.height_ladder": {
        "machine": pl.Machine(
            width=220,
            height=220,
            x=pl.Axis(5_000),
            y=pl.Axis(5_000),
            lift=pl.ZLift(4, 0, 600),
            feed=1_000,
        ),
        "offsets": (0.1, 0.0),
        "sheet": A5,
        "columns": 2,
        "rows": 2,
    },
    "calibration.lift_ladder": {
        "machine": pl.Machine(
            width=220, height=220, x=pl.Axis(5_000), y=pl.Axis(5_000), lift=SERVO, feed=1_000
        ),
        "lifts": [SERVO],
        "sheet": A5,
    },
    "calibration.offset_cross": {"sheet": A5, "pens": [PEN, pl.Pen("red")]},
    "calibration.roundness": {"sheet": A5},
    "calibration.squareness_frame": {"sheet": A5},
    "calibration.tone_ramp": {"sheet": A5},
    "calibration.width_wedge": {"sheet": A5},
    "curves.Swing": {"amplitude": 10.0, "frequency": 2.0},
    "curves.archimedean_spiral": {"pitch": 2.0},
    "curves.bezier": {},
    "curves.catmull_rom": {},
    "curves.dragon": {},
    "curves.epitrochoid": {"fixed": 10.0, "rolling": 4.0},
    "curves.gosper": {},
    "curves.guilloche": {
        "inner": [(0, 0), (60, 0)],
        "outer": [(0, 9), (60, 9)],
        "lobes": 9,
        "lines": 4,
    },
    "curves.hilbert": {},
    "curves.hypotrochoid": {"fixed": 10.0, "rolling": 4.0},
    "curves.koch": {},
    "curves.koch_snowflake": {},
    "curves.lemniscate": {},
    "curves.lissajous": {"x": 3, "y": 2},
    "curves.logarithmic_spiral": {"inner": 1.0, "turns": 3.0},
    "curves.lsystem": {"rules": {"F": "F+F"}, "angle": 60.0},
    "curves.parametric": {"function": lambda t: (t, np.sin(t)), "t0": 0.0, "t1": 6.0},
    "curves.peano": {},
    "curves.pendulum": {
        "x": curves.Swing(10, 2),
        "y": curves.Swing(10, 3, 90),
        "duration": 2.0,
    },
    "curves.phyllotaxis": {"scale": 1.0},
    "curves.rose": {"k": 3.0},
    "curves.sierpinski_arrowhead": {},
    "curves.superellipse": {"radius_x": 8.0, "radius_y": 5.0},
    "curves.superformula": {"m": 5.0, "n1": 0.3, "n2": 0.3, "n3": 0.3},
    "curves.trochoid": {},
    "fields.ScalarField": {"value": lambda x, y: x},
    "fields.VectorField": {"flow": lambda x, y: (x, y)},
    "fields.apollonian": {"smallest": 0.5},
    "fields.apollonian_gap": {"circles": COINS, "smallest": 0.1},
    "fields.around": {"field": TURNING},
    "fields.attractors": {},
    "fields.bands": {"field": HILL, "levels": [1.0, 5.0]},
    "fields.circle_packing": {"smallest": 1.0, "largest": 4.0},
    "fields.circles": {"circles": [(10, 10, 5), (30, 10, 2)]},
    "fields.constant": {"value": 3.0},
    "fields.delaunay": {},
    "fields.distance": {},
    "fields.distance_to_point": {},
    "fields.distance_to_strokes": {},
    "fields.evenness": {"spacing": 4.0},
    "fields.flow": {"function": lambda x, y: (x, y)},
    "fields.from_array": {"values": [[0, 1], [2, 3]]},
    "fields.from_arrays": {"u": [[0, 1], [2, 3]], "v": [[0, 1], [2, 3]]},
    "fields.from_function": {"value": lambda x, y: x * y},
    "fields.heading": {"angle": 30.0},
    "fields.held": {"field": HILL},
    "fields.isolines": {"field": HILL, "spacing": 5.0},
    "fields.lloyd": {},
    "fields.particles": {"field": TURNING, "duration": 1.0, "lag": 0.5},
    "fields.perlin": {},
    "fields.poisson_disk": {},
    "fields.ramp": {},
    "fields.ridge": {},
    "fields.ridgelines": {"field": HILL},
    "fields.saddle": {},
    "fields.sampled": {"field": HILL, "step": 1.0},
    "fields.simplex": {},
    "fields.source": {},
    "fields.streamline": {"field": TURNING, "start": (5.0, 5.0)},
    "fields.streamlines": {"field": TURNING, "spacing": 4.0},
    "fields.uniform": {},
    "fields.voronoi": {},
    "fields.voronoi_cells": {},
    "fields.vortex": {},
    "fills.circles": {"region": AREA, "smallest": 2},
    "fills.concentric": {},
    "fills.contour": {},
    "fills.coverage": {},
    "fills.cross_hatch": {},
    "fills.dashed_hatch": {"dash": 2.0, "gap": 1.0},
    "fills.dots": {},
    "fills.dotted_hatch": {},
    "fills.graded_hatch": {"spacing": fields.ramp() + 1.0, "finest": 1.0},
    "fills.hatch": {},
    "fills.measured_solid": {},
    "fills.one_stroke": {},
    "fills.pattern": {"motif": shapes.circle((0, 0), 2)},
    "fills.radial": {},
    "fills.scribble": {},
    "fills.solid": {},
    "fills.space_filling": {},
    "fills.spiral": {},
    "fills.tiles": {},
    "fills.wave": {},
    "fills.zigzag": {},
    "gcode.check_machine": {},
    "gcode.dry_run": {"plot": SPOKEN, "path": "dry.gcode"},
    "gcode.read": {"path_or_text": "G21\nG90\nM2\n"},
    "gcode.walk_around": {"plot": SPOKEN, "path": "walk.gcode"},
    "gcode.write_each": {"plot": pl.plan(ROWS, MACHINE), "path": "plot.gcode"},
    "gcode.write": {"plot": pl.plan(ROWS, MACHINE), "path": "plot.gcode"},
    "growth.attractor": {"region": AREA, "duration": 1.0},
    "growth.automaton": {"region": AREA},
    "growth.cracks": {"region": AREA},
    "growth.differential_growth": {"region": AREA, "spacing": 3, "length": 60},
    "growth.aggregate": {"region": AREA, "spacing": 1, "count": 40},
    "growth.branches": {"region": AREA, "spacing": 3},
    "growth.maze": {"region": AREA, "spacing": 3},
    "growth.orbit": {"region": AREA, "count": 500},
    "growth.reaction_diffusion": {"region": AREA, "steps": 20},
    "growth.spanning_tree": {"region": AREA, "spacing": 3},
    "growth.trails": {"region": AREA, "steps": 20},
    "growth.veins": {"region": AREA, "spacing": 3},
    "growth.wanderers": {"region": AREA},
    "images.InkModel": {},
    "images.Tone": {"values": [[0.2, 0.8], [0.5, 1.0]], "extent": (0.0, 0.0, 10.0, 10.0)},
    "images.cells": {},
    "images.dithered": {},
    "images.edges": {},
    "images.flow_strokes": {},
    "images.halftone": {},
    "images.judge": {"tone": DUSK},
    "images.modulated_lines": {},
    "images.modulated_spiral": {},
    "images.read": {"picture": np.array([[0, 255], [128, 64]], np.uint8)},
    "images.scribbled": {},
    "images.screen_angles": {"count": 3},
    "images.separated": {"picture": np.array([[0, 255], [128, 64]], np.uint8), "pens": [PEN]},
    "images.single_line": {},
    "images.stipple": {},
    "images.tonal_hatch": {},
    "images.tone_bands": {},
    "preview.contact_sheet": {"make": star_design, "seeds": [1, 2], "workers": 1},
    "preview.explore": {"make": star_design},
    "preview.image": {"plot_or_drawing": ROWS},
    "preview.page": {"plot": pl.plan(ROWS, MACHINE), "path": "plot.html"},
    "dxf.read": {"path": "plan.dxf", "unit": 1.0},
    "maps.Chart": {"extent": (-8.0, 56.0, -7.0, 57.0)},
    "maps.cut_at": {"geometry": "LINESTRING (170 45, -170 45)"},
    "maps.project": {"places": [(3.0, 4.0)], "projection": "+proj=merc"},
    "maps.read": {"geometry": "POINT (3 4)"},
    "Chart.at": {"places": [(-7.5, 56.5)]},
    "Chart.area": {"geometry": "POLYGON ((-8 56, -7 56, -7 57, -8 56))"},
    "Chart.graticule": {"spacing": 0.5},
    "Chart.scale_bar": {"at": (1.0, 1.0), "step": 1.0},
    "Chart.strokes": {"geometry": "LINESTRING (-8 56, -7 57)"},
    "preview.png": {"plot_or_drawing": ROWS, "path": "plot.png"},
    "regions.as_region": {},
    "regions.medial_axis": {"step": 0.5},
    "regions.compensated": {},
    "regions.swept": {},
    "regions.inset": {"distance": 1.0},
    "regions.outline": {},
    "regions.outset": {"distance": 1.0},
    "regions.rounded": {"radius": 1.0},
    "regions.silhouette": {"drawing": RING},
    "regions.stack": {"items": [RING, RING.moved(2, 2)]},
    "sets.plan_tray": {
        "drawings": [shapes.circle((15, 15), 9)],
        "sheets": pl.Sheet(30, 30, margin=1).many(2, 2, pitch=40),
    },
    "sets.write_set": {"machines": [MACHINE], "folder": "set"},
    "shapes.arc": {},
    "shapes.circle": {},
    "shapes.circles": {"centres": SQUARE, "radii": 2.0},
    "shapes.dots": {},
    "shapes.ellipse": {"radius_x": 8.0, "radius_y": 5.0},
    "shapes.line": {},
    "shapes.lines": {},
    "shapes.polyline": {},
    "shapes.rectangle": {},
    "shapes.registration_marks": {"region": AREA},
    "shapes.regular_polygon": {"sides": 5},
    "shapes.sector": {},
    "shapes.star": {},
    "shapes.star_polygon": {},
    "streaming.read_log": {"log": LOG},
    "streaming.rest_after": {"plot": SPOKEN, "line": 9},
    "streaming.resume": {"log": LOG, "path": "rest.gcode", "plot": SPOKEN},
    "streaming.send": {"file": SPOKEN, "port": Answering(), "log": None},
    "streaming.stream": {"file": SPOKEN, "port": Answering(), "log": None},
    "svg.read": {"path_or_text": SVG},
    "svg.write": {"plot_or_drawing": ROWS, "path": "plot.svg"},
    "symmetry.conformal": {"drawing": ROWS, "function": np.sqrt},
    "symmetry.frieze": {"drawing": ROWS, "group": "p2", "period": 20, "count": 3},
    "symmetry.inversion": {"drawing": ROWS, "about": (-5, 1), "radius": 10},
    "symmetry.kaleidoscope": {"drawing": ROWS, "count": 3},
    "symmetry.mobius": {"drawing": ROWS, "a": 1, "b": 2, "c": 0.1, "d": 30},
    "symmetry.rosette": {"drawing": ROWS, "count": 3},
    "symmetry.wallpaper": {"drawing": ROWS, "group": "p4", "region": AREA, "cell": 20},
    "symmetry.wallpaper_group": {"name": "p4g"},
    "tilings.archimedean": {"region": AREA, "name": "4.8.8", "side": 5},
    "tilings.girih": {"region": AREA, "pattern": "all five", "side": 5},
    "tilings.hats": {"region": AREA, "side": 2},
    "tilings.hyperbolic": {"corners": 7, "around": 3, "radius": 30},
    "tilings.interlaced": {"drawing": ROWS, "width": 2},
    "tilings.kites_and_darts": {"region": AREA, "side": 5},
    "tilings.knot": {"graph": RING, "breaks": ROWS},
    "tilings.multiscale_truchet": {"region": AREA, "side": 5},
    "tilings.rhombs": {"region": AREA, "side": 5},
    "tilings.stars": {"tiling": tilings.kites_and_darts(AREA, side=8), "contact": 60},
    "tilings.truchet": {"region": AREA, "side": 5},
    "tilings.wang": {"region": AREA, "tiles": "eight", "side": 5},
    "tilings.wang_strands": {"floor": tilings.wang(AREA, side=5), "tiles": "eight"},
    "testing.assert_deterministic": {"function": star_design},
    "testing.assert_inside": {"drawing": ROWS},
    "testing.assert_on_bed": {"thing": ROWS},
    "testing.assert_pen_gap": {"drawing": ROWS, "gap": 0.5},
    "testing.assert_plot_time_below": {"plot": SPOKEN, "seconds": 600.0},
    "testing.assert_same_ink": {"one": ROWS, "other": ROWS},
    "testing.drawings": {},
    "testing.gcode_programs": {},
    "testing.machines": {},
    "testing.pens": {},
    "testing.points": {},
    "testing.regions": {},
    "testing.scalar_fields": {},
    "testing.seed_runs": {},
    "testing.seeds": {},
    "testing.sheets": {},
    "testing.strokes": {},
    "testing.svg_documents": {},
    "testing.texts": {},
    "testing.vector_fields": {},
    "text.along": {"curve": [(0, 0), (60, 0)]},
    "text.axis": {"low": 0.0, "high": 10.0},
    "text.boxed": {},
    "text.check_pen": {"height": 5.0},
    "text.faces": {},
    "text.height_for": {},
    "text.labelled": {},
    "text.legend": {"entries": [(PEN, "ferry")]},
    "text.lettering": {},
    "text.subscript": {},
    "text.measure": {},
    "text.measure_font": {"font": FONT},
    "text.north_arrow": {"at": (10.0, 10.0)},
    "text.font_area": {"font": FONT},
    "text.practice": {"least": 3.0},
    "text.superscript": {},
    "text.scale_bar": {"at": (10.0, 10.0), "step": 5.0},
    "text.table": {"rows": [["tide", "time"], ["low", "3:40"]]},
    "tidying.arcs": {},
    "tidying.joined": {},
    "tidying.once": {},
    "tidying.without_specks": {"length": 0.5},
    "Drawing.box": {},
    "Drawing.by_pen": {},
    "Drawing.clipped": {},
    "Drawing.by_hand": {},
    "Drawing.dashed": {"pattern": (2.0, 1.0)},
    "Drawing.erased": {},
    "Drawing.fitted": {},
    "Drawing.from_arrays": {"points": SQUARE, "offsets": [0, 4]},
    "Drawing.inked": {},
    "Drawing.mapped": {"function": lambda x, y: (x, y)},
    "Drawing.mirrored": {},
    "Drawing.moved": {"dx": 1.0, "dy": 2.0},
    "Drawing.resampled": {},
    "Drawing.reversed": {},
    "Drawing.scaled": {"x": 2.0},
    "Drawing.simplified": {"tolerance": 0.1},
    "Drawing.thinned": {},
    "Drawing.to_shapely": {},
    "Drawing.transformed": {"matrix": [[1, 0, 5], [0, 1, 5]]},
    "Drawing.turned": {"angle": 30.0},
    "InkModel.coverage": {"tone": 0.5},
    "InkModel.dot_density": {"tone": 0.5},
    "InkModel.line_spacing": {"tone": 0.5},
    "InkModel.measured": {"coverage": [0.0, 1.0], "reflectance": [0.9, 0.1]},
    "InkModel.tone": {"coverage": 0.5},
    "InkModel.tour_density": {"tone": 0.5},
    "Judgement.png": {"path": "judged.png"},
    "Machine.line_needed": {"feed": 1_000.0},
    "Machine.load": {"path": "bench.toml"},
    "Machine.save": {"path": "bench.toml"},
    "Machine.to_mm": {"units": [1000, 2000]},
    "Machine.to_units": {"value": [1.0, 2.0]},
    "ScalarField.__call__": {"x": 1.0, "y": 2.0},
    "ScalarField.curl": {},
    "ScalarField.gradient": {},
    "ScalarField.jet": {"x": 1.0, "y": 2.0},
    "ScalarField.maximum": {"other": 2.0},
    "ScalarField.minimum": {"other": 2.0},
    "ScalarField.shaped": {"function": np.sqrt},
    "ScalarField.slopes": {"x": 1.0, "y": 2.0},
    "ScalarField.warped": {"dx": 1.0, "dy": 2.0},
    "Sheet.many": {"columns": 2, "rows": 2, "pitch": 110.0},
    "Sheet.iso": {"name": "A5"},
    "Sheet.from_area": {"area": AREA, "margin": 1.0},
    "Sheet.from_bed": {"points": [(1.0, 2.0)]},
    "Sheet.round": {"diameter": 90.0},
    "Sheet.to_bed": {"points": [(1.0, 2.0)]},
    "Sheet.turned": {"angle": 30.0},
    "Tone.blurred": {"radius": 1.0},
    "Tone.gamma_corrected": {"gamma": 1.5},
    "Tone.inverted": {},
    "Tone.sharpened": {"radius": 1.0},
    "Tone.stretched": {},
    "VectorField.__call__": {"x": 1.0, "y": 2.0},
    "VectorField.turned": {"angle": 30.0},
    "VectorField.unit": {},
}

GIVEN |= {
    name.replace("ScalarField", "Tone"): given
    for name, given in GIVEN.items()
    if name.startswith("ScalarField.")
}

# For the methods: the value that they are asked of.
OWNERS = {
    "Chart": (maps.Chart, CHART),
    "Drawing": (pl.Drawing, ROWS),
    "Machine": (pl.Machine, MACHINE),
    "Sheet": (pl.Sheet, pl.Sheet(100, 80)),
    "ScalarField": (fields.ScalarField, fields.perlin(scale=10)),
    "VectorField": (fields.VectorField, TURNING),
    "InkModel": (images.InkModel, images.InkModel()),
    "Judgement": (images.Judgement, images.judge(ROWS, DUSK)),
    "Tone": (images.Tone, DUSK),
}

# What no argument takes: a call that draws with it has not looked.
NOTHING = object()

# One wrong thing of each kind that was met: numbers that are none, too large or too small, the
# wrong kind of thing, shapes that do not fit, and what belongs to another argument.
WRONG: tuple[Any, ...] = (
    None,
    "a",
    "blue",
    "",
    b"ab",
    True,
    float("nan"),
    float("inf"),
    -float("inf"),
    -1,
    0,
    0.5,
    1e300,
    -1e300,
    1e-300,
    1e-9,
    1e9,
    10**400,
    2j,
    NOTHING,
    int,
    len,
    [],
    {},
    set(),
    (1, 2),
    (1, 2, 3),
    (5, 5, 1, 1),
    ["a", "b"],
    [1, [2, 3]],
    [[1, 2], [3]],
    [(1, 2), (3, float("nan"))],
    [(1e300, 0), (-1e300, 1)],
    [None],
    [[[1, 2]]],
    np.array(["2020-01-01"], np.datetime64),
    np.zeros((0, 2)),
    slice(None),
    pl.Drawing(),
    ROWS,
    RING,
    PEN,
    MACHINE,
    pl.Sheet(100, 80),
    HILL,
    TURNING,
    AREA,
    shapely.Polygon(),
    shapely.Point(1, 2),
    shapely.LineString([(0, 0), (40, 0)]),
)


def public_names() -> Iterator[tuple[str, Any]]:
    """Every public maker as (name, function): of the top, of the rooms, methods of the values."""
    for name in TOP:
        yield name, getattr(pl, name)
    for room, module in ROOMS.items():
        listed = getattr(module, "__all__", None) or _own(module)
        for name in listed:
            thing = getattr(module, name)
            if callable(thing) and f"{room}.{name}" not in RESULTS:
                yield f"{room}.{name}", thing
    for owner, (kind, value) in OWNERS.items():
        for name in _methods(kind):
            static = inspect.getattr_static(kind, name)
            is_method = inspect.isfunction(static) or isinstance(static, classmethod)
            if is_method and (name == "__call__" or not name.startswith("_")):
                yield f"{owner}.{name}", getattr(value, name)


def _methods(kind: type) -> list[str]:
    """Names that a class and the package's classes below it define, its own first."""
    parts = [part for part in kind.__mro__ if part.__module__.startswith("plotlib.")]
    return list(dict.fromkeys(name for part in parts for name in vars(part)))


def _own(module: Any) -> list[str]:
    return [
        name
        for name, thing in vars(module).items()
        if not name.startswith("_")
        and inspect.isfunction(thing)
        and thing.__module__ == module.__name__
    ]


def maker(name: str, call: Callable[..., Any]) -> Maker:
    """The maker with arguments that it takes: what its signature demands, and its own row."""
    row = GIVEN[name]
    usual = {
        parameter.name: USUAL[parameter.name]
        for parameter in inspect.signature(call).parameters.values()
        if parameter.default is parameter.empty
        and parameter.kind not in (parameter.VAR_KEYWORD, parameter.VAR_POSITIONAL)
        and parameter.name not in row
    }
    return Maker(name, call, {**usual, **row})


def parameters(call: Callable[..., Any]) -> list[str]:
    """What can be given by name, the shared options of lettering included."""
    names = []
    for parameter in inspect.signature(call).parameters.values():
        if parameter.kind is parameter.VAR_POSITIONAL:
            continue  # of a design, any
        if parameter.kind is parameter.VAR_KEYWORD:
            is_lettering = "Options" in str(parameter.annotation)
            names += Options.__annotations__ if is_lettering else ()  # else of a design, any
        else:
            names.append(parameter.name)
    return names


def wrong_calls(one: Maker) -> Iterator[tuple[tuple[str, ...], dict[str, Any]]]:
    """The arguments in question, and all arguments of the call: each wrong value in the place of
    each argument, and neighbouring arguments swapped.
    """
    for name in parameters(one.call):
        for value in WRONG:
            yield (name,), {**one.given, name: value}
    demanded = list(one.given)
    for first, second in pairwise(demanded):
        swapped = {**one.given, first: one.given[second], second: one.given[first]}
        yield (first, second), swapped
