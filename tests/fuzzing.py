"""Fuzzing: whatever bytes a file holds, a reader takes it or says what is wrong, and ends.

    python tests/fuzzing.py --seconds 60               # every reader, a minute each
    python tests/fuzzing.py svg dxf --seconds 600

With atheris installed (`pip install atheris`) the fuzzer is guided by coverage: what reaches new
code is changed further. Without it files are damaged at random by hypothesis. Whatever a reader
raises beside PlotlibError, and whatever takes longer than 20 seconds, is printed and its bytes are
kept in --folder; put them into tests/fuzz_cases/READER-WHAT, where tests/test_fuzzing.py reads them
ever after.
"""

from __future__ import annotations

import argparse
import inspect
import io
import subprocess
import sys
import tempfile
import time
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import hypothesis.strategies as st
import shapely
from hypothesis import HealthCheck, given, settings

import plotlib as pl

HOME = Path(__file__).parents[1]
CASES = HOME / "tests" / "fuzz_cases"
_SLOW = 20  # seconds that one file may take

AXIS = pl.Axis(6_000, 500)
SERVO = pl.Machine(
    width=120, height=90, x=AXIS, y=AXIS, lift=pl.ServoLift("M5", "M3 S90"), feed=3_000
)
ZED = pl.Machine(
    width=200, height=100, x=AXIS, y=AXIS, lift=pl.ZLift(4, 0, 600), feed=1_500, prologue="G0 Z4"
)
CROSS = pl.Drawing([[(10, 10), (60, 50), (80.5, 20)], [(5, 5)], [(30, 60), (30, 61)]])
GCODE = (
    "(by hand)\nG21\nG90\nM5\nG0 X10 Y10\nM3 S90\nG4 P0.1\nF1200\nG1 X20 Y10\n"
    "G2 X30 Y10 I5 J0\nG3 X30 Y10 I2 J0\nG91\nG1 X-1 Y-1\nG90\nG92 X0 Y0\nM5\nG0 X0 Y0\nM2\n"
)
SVG = (
    '<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY a "<path d=\'M1 1h9\'/>">]>'
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
    'width="100mm" height="50mm" viewBox="0 0 100 50">'
    "<style>.k{stroke:red !important;fill:none} g>path{stroke-width:2%}</style>"
    '<defs><clipPath id="c"><circle cx="20" cy="20" r="15"/></clipPath>'
    '<symbol id="s" viewBox="0 0 9 9"><rect width="5" height="4" rx="1"/></symbol></defs>'
    '<g clip-path="url(#c)" transform="rotate(30 5 5) scale(2)" class="k">&a;'
    '<path stroke-dasharray="3 1" pathLength="20" d="M10 10a5 4 30 0 1 9 9q1 2 3 4t5 6C1 2 3 4 5 6"'
    '/></g><use xlink:href="#s" x="50" width="20" height="9"/>'
    '<text x="3" y="40" font-size="5">Skerrow</text></svg>'
)
GEOJSON = (
    '{"type":"FeatureCollection","features":[{"type":"Feature","properties":null,"geometry":'
    '{"type":"Polygon","coordinates":[[[-8,56],[-7,56],[-7,57],[-8,56]]]}},{"type":"Feature",'
    '"properties":{},"geometry":{"type":"MultiLineString","coordinates":[[[179,1],[-179,2]]]}}]}'
)
DXF = (
    "0 SECTION 2 ENTITIES 0 LINE 8 0 10 1 20 2 11 31 21 42 0 CIRCLE 8 0 10 9 20 9 40 4 0 ARC 8 0 "
    "10 9 20 9 40 2 50 30 51 90 0 ENDSEC 0 EOF"
).replace(" ", "\n")


@dataclass(frozen=True)
class Reader:
    """One reader, files that it takes, and words that its files are made of."""

    read: Callable[[Path], Any]
    seeds: Callable[[], list[bytes]]
    words: tuple[bytes, ...]


def _words(text: str) -> tuple[bytes, ...]:
    return tuple(word.encode() for word in text.split("|"))


def _font(path: Path) -> None:
    pl.text.font_area("Sk1 ß", path, height=4, missing="_")


def _picture(path: Path) -> None:
    pl.images.read(path, pl.Sheet(50, 40, margin=2))


def _fonts() -> list[bytes]:
    """A real font cut down to a few letters by fontTools."""
    import matplotlib
    from fontTools import subset
    from fontTools.ttLib import TTFont

    full = Path(matplotlib.get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf"
    font = TTFont(full)
    cutter = subset.Subsetter()
    cutter.populate(text="Sk1ß_")
    cutter.subset(font)
    small = io.BytesIO()
    font.save(small)
    return [small.getvalue()]


def _pictures() -> list[bytes]:
    from PIL import Image

    grey = Image.linear_gradient("L").resize((9, 7))
    seeds = []
    for kind, image in (
        ("PNG", grey),
        ("PNG", grey.convert("RGBA")),
        ("GIF", grey.convert("P")),
        ("JPEG", grey.convert("RGB")),
        ("TIFF", grey.convert("1")),
        ("BMP", grey),
    ):
        held = io.BytesIO()
        image.save(held, kind)
        seeds.append(held.getvalue())
    return seeds


def _profiles() -> list[bytes]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "bench.toml"
        kept = []
        for machine in (SERVO, ZED, _spoken()):
            machine.save(path)
            kept.append(path.read_bytes())
    return kept


def _spoken() -> pl.Machine:
    dialogue = pl.Dialogue(accepted="taken", refused="cannot")
    return replace(SERVO, dialogue=dialogue, keep_outs=shapely.box(100, 70, 120, 90))


def _logs() -> list[bytes]:
    from plotlib.streaming.simulated import Controller, VirtualPort

    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder) / "log.jsonl"
        plot = pl.plan(CROSS, _spoken())
        pl.streaming.send(plot, port=VirtualPort(Controller(plot.machine)), log=log)
        return [log.read_bytes()]


def _dxfs() -> list[bytes]:
    import ezdxf

    document = ezdxf.new("R12")  # the shortest header
    block = document.blocks.new("K")
    block.add_line((0, 0), (3, 1))
    space = document.modelspace()
    space.add_blockref("K", (5, 5), dxfattribs={"rotation": 30, "xscale": 2})
    space.add_circle((9, 9), 4)
    space.add_polyline2d([(1, 1, 0.5), (8, 1, 0), (4, 6, 0)], format="xyb", close=True)
    held = io.StringIO()
    document.write(held)
    return [DXF.encode(), held.getvalue().encode()]


def _programs() -> list[bytes]:
    from plotlib.gcode.writer import text_of

    return [GCODE.encode(), text_of(pl.plan(CROSS, SERVO)).encode()]


READERS: dict[str, Reader] = {
    "gcode": Reader(
        lambda path: pl.gcode.read(path, SERVO),
        _programs,
        _words(
            "G0|G1|G2|G3|G4|G20|G21|G90|G91|G92|M3|M5|X|Y|Z|I|J|F|P|S|R|1e9|-|.|;|(|)|\n|%|N1|*7"
        ),
    ),
    "zed": Reader(
        lambda path: pl.testing.assert_on_bed(path, ZED, ignore=("semicolon comments",)),
        lambda: [GCODE.replace("M5", "G0 Z4").replace("M3 S90", "G1 Z0 F600").encode()],
        _words("G0|G1|G2|G28|G53|G92|Z|Z4|Z0|X1|Y1|;a\n|F600|\n|\r\n"),
    ),
    "svg": Reader(
        lambda path: pl.svg.read(path, budget=20_000, fills="outline", fonts="roman simplex"),
        lambda: [SVG.encode()],
        _words(
            '<g>|</g>|<use href="#s"/>|d="M|a|C|z|1e309|%|em|url(#c)|&a;|NaN|matrix(|-|<svg>|"|>'
        ),
    ),
    "profile": Reader(
        pl.Machine.load,
        _profiles,
        _words("[lift]|[x]|kind = |width = |true|1e999|-1|''|[[|]]|=|\n|inf|nan|\ufeff|'''"),
    ),
    "font": Reader(_font, _fonts, (b"\0\0", b"\xff\xff", b"glyf", b"cmap", b"OTTO", b"\x00\x01")),
    "picture": Reader(
        _picture, _pictures, (b"IHDR", b"IDAT", b"\xff\xd8", b"\0\0\xff\xff", b"GIF8")
    ),
    "geojson": Reader(
        pl.maps.read,
        lambda: [GEOJSON.encode()],
        _words('"type"|"coordinates"|[|]|{|}|null|1e999|NaN|-181|"GeometryCollection"|EMPTY|,|(|)'),
    ),
    "dxf": Reader(
        lambda path: pl.dxf.read(path, unit=1, budget=20_000),
        _dxfs,
        _words(
            "0\n|SECTION\n|INSERT\n|BLOCK\n|10\n|42\n|1e999\n|-1\n|TEXT\n|ARC\n|ELLIPSE\n|nan\n"
        ),
    ),
    "log": Reader(
        pl.streaming.read_log,
        _logs,
        _words('"line"|"sent"|{|}|null|-1|1e999|\n|"|[]|:|true'),
    ),
}


@cache
def seeds(name: str) -> list[bytes]:
    """The files that a reader's fuzzing begins with."""
    return READERS[name].seeds()


def check(name: str, data: bytes, path: Path) -> None:
    """Give bytes to a reader; what it refuses is well."""
    path.write_bytes(data)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            READERS[name].read(path)
        except pl.PlotlibError:
            return
        except AssertionError as error:
            if name != "zed" or not str(error):
                raise


def damaged(name: str) -> st.SearchStrategy[bytes]:
    """One of a reader's files with up to eight pieces taken out, doubled, overwritten or put in."""
    known = seeds(name)
    place = st.floats(0, 1)
    piece = st.one_of(
        st.sampled_from(READERS[name].words), st.binary(min_size=0, max_size=4), st.just(None)
    )
    edit = st.tuples(place, st.integers(0, 40), piece)
    return st.tuples(st.sampled_from(known), st.lists(edit, min_size=1, max_size=8)).map(_edited)


def _edited(chosen: tuple[bytes, list[tuple[float, int, bytes | None]]]) -> bytes:
    data, edits = chosen
    for place, length, piece in edits:
        at = int(place * len(data))
        put = data[at : at + length] * 2 if piece is None else piece
        data = data[:at] + put + data[at + length :]
    return data


def _guided(name: str, seconds: int, folder: Path) -> int:
    """A run of atheris in a process of its own, which it ends itself."""
    corpus = folder / name
    corpus.mkdir(parents=True, exist_ok=True)
    for number, data in enumerate(seeds(name)):
        (corpus / f"seed-{number}").write_bytes(data)
    words = "".join(
        '"' + "".join(f"\\x{byte:02x}" for byte in word) + '"\n' for word in READERS[name].words
    )
    (folder / f"{name}.words").write_text(words, encoding="ascii")
    command = [
        sys.executable,
        __file__,
        "--inside",
        name,
        f"-max_total_time={seconds}",
        f"-timeout={_SLOW}",
        "-rss_limit_mb=4096",
        "-max_len=20000",
        f"-dict={folder / f'{name}.words'}",
        f"-artifact_prefix={folder}/{name}-",
        str(corpus),
    ]
    ended = subprocess.run(command, cwd=HOME, capture_output=True, text=True, check=False)
    told = [line for line in ended.stderr.splitlines() if line.startswith(("#", "Done", "stat::"))]
    print(f"{name}: {told[-1] if told else 'ended'}")
    if ended.returncode:
        print(ended.stdout[-3_000:], ended.stderr[-3_000:], sep="\n")
    return ended.returncode


def _inside(name: str, arguments: list[str]) -> None:
    import atheris

    seeds(name)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "file"
        check(name, seeds(name)[0], path)  # imports what it needs, to be instrumented
        for function in _functions(("plotlib", "json", "tomllib")):
            atheris.instrument_func(function)
        atheris.Setup([sys.argv[0], *arguments], lambda data: check(name, data, path))
        atheris.Fuzz()


def _functions(packages: tuple[str, ...]) -> Iterator[Any]:
    """Functions and methods of the modules that are loaded."""
    for name, module in list(sys.modules.items()):
        if name.split(".")[0] not in packages:
            continue
        owners = [module, *(kind for kind in vars(module).values() if inspect.isclass(kind))]
        for owner in owners:
            for thing in list(vars(owner).values()):
                if inspect.isfunction(thing) and thing.__module__ == name:
                    yield thing


def _at_random(name: str, seconds: int, folder: Path) -> int:
    end = time.monotonic() + seconds
    count = 0
    worst = 0.0

    @settings(max_examples=200, deadline=None, database=None, suppress_health_check=HealthCheck)
    @given(damaged(name))
    def look(data: bytes) -> None:
        nonlocal count, worst
        before = time.monotonic()
        kept = folder / f"{name}-at-hand"
        check(name, data, kept)
        worst = max(worst, time.monotonic() - before)
        count += 1

    while time.monotonic() < end:
        look()
    print(f"{name}: {count} files, the slowest {worst:.1f} s")
    return 0


def main() -> int:
    if sys.argv[1:2] == ["--inside"]:
        _inside(sys.argv[2], sys.argv[3:])
        return 0
    parser = argparse.ArgumentParser(description="Fuzz the readers of files.")
    parser.add_argument("readers", nargs="*", choices=[[], *READERS])
    parser.add_argument("--seconds", type=int, default=60, help="for each reader")
    parser.add_argument("--folder", type=Path, help="where files that fail are kept")
    given_ = parser.parse_args()
    folder = given_.folder or Path(tempfile.mkdtemp(prefix="fuzzing-"))
    folder.mkdir(parents=True, exist_ok=True)
    print(f"files that fail are kept in {folder}")
    try:
        import atheris  # noqa: F401 - guided by coverage where it is

        run = _guided
    except ImportError:
        print("atheris is not installed: files are damaged at random")
        run = _at_random
    return max(run(name, given_.seconds, folder) for name in given_.readers or READERS)


if __name__ == "__main__":
    sys.exit(main())
