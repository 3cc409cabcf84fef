"""The surroundings of a process change nothing: locale, working directory, home, network."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

HOME = Path(__file__).parents[2]

# The whole chain, small: prints a checksum of all that it writes.
CHAIN = """
import hashlib, pathlib, sys
import plotlib as pl
folder = pathlib.Path(sys.argv[1])
axis = pl.Axis(6_000, 500)
bench = pl.Machine(width=100, height=80, x=axis, y=axis, lift=pl.ZLift(4.5, 0, 600), feed=1_500.5,
                   prologue="G0 Z4.5")
bench.save(folder / "bench.toml")
bench = pl.Machine.load(folder / "bench.toml")
art = pl.svg.read('<svg width="50mm" height="40mm" viewBox="0 0 25 20"><path stroke="red" '
                  'fill="none" d="M1.5 1.25l20.75 10.5"/></svg>')
drawing = art.drawing + pl.text.lettering("1.5 mm", height=4.5, at=(10, 10))
plot = pl.plan(drawing, bench)
pl.gcode.write(plot, folder / "a.gcode")
pl.testing.assert_on_bed(folder / "a.gcode", bench)
pl.svg.write(plot, folder / "a.svg")
print(plot)
for name in ("bench.toml", "a.gcode", "a.svg"):
    print(hashlib.sha256((folder / name).read_bytes()).hexdigest())
"""


def chain(folder: Path, before: str = "", **changes: object) -> str:
    """What the chain prints in a process of its own."""
    folder.mkdir(exist_ok=True)
    options = {"cwd": HOME, "env": dict(os.environ), **changes}
    options["env"] = {"PYTHONPATH": str(HOME), **options["env"]}  # type: ignore[dict-item]
    ended = subprocess.run(
        [sys.executable, "-c", before + CHAIN, str(folder)],
        capture_output=True,
        text=True,
        check=False,
        **options,  # type: ignore[call-overload]
    )
    assert ended.returncode == 0, ended.stderr
    return str(ended.stdout)


@pytest.fixture(scope="module")
def usual(tmp_path_factory: pytest.TempPathFactory) -> str:
    return chain(tmp_path_factory.mktemp("usual"))


def test_decimal_commas_stay_out_of_files(tmp_path: Path, usual: str) -> None:
    """With a locale set as programs with windows set it, which C libraries beneath heed."""
    if shutil.which("localedef") is None:
        pytest.skip("localedef is not installed, so there is no locale with decimal commas")
    made = subprocess.run(
        ["localedef", "-i", "de_DE", "-f", "UTF-8", str(tmp_path / "de_DE.UTF-8")],
        capture_output=True,
        check=False,
    )
    if not (tmp_path / "de_DE.UTF-8").is_dir():
        pytest.skip(f"localedef has no sources for a locale: {made.stderr!r:.100}")
    before = (
        "import locale\n"
        "locale.setlocale(locale.LC_ALL, 'de_DE.UTF-8')\n"
        "assert locale.localeconv()['decimal_point'] == ','\n"
    )
    surroundings = {**os.environ, "LOCPATH": str(tmp_path), "LC_ALL": "de_DE.UTF-8"}
    assert chain(tmp_path / "files", before, env=surroundings) == usual


def test_any_working_directory_will_do(tmp_path: Path, usual: str) -> None:
    (tmp_path / "plotlib.toml").write_text("not ours", encoding="utf-8")
    (tmp_path / "here").mkdir()
    for folder in (tmp_path / "here", Path("/")):
        assert chain(tmp_path / "files", cwd=folder) == usual


def test_no_network_is_asked_for(tmp_path: Path, usual: str) -> None:
    before = (
        "import socket\n"
        "def refuse(*_, **__): raise AssertionError('the network was asked for')\n"
        "socket.socket.connect = socket.create_connection = socket.getaddrinfo = refuse\n"
    )
    assert chain(tmp_path / "files", before) == usual


def drop_override() -> None:
    """Let the superuser, too, heed permissions: take CAP_DAC_OVERRIDE from what is started next."""
    import ctypes

    set_of_capabilities = 24  # PR_CAPBSET_DROP, of linux/prctl.h
    override = 1  # CAP_DAC_OVERRIDE, of linux/capability.h
    ctypes.CDLL(None).prctl(set_of_capabilities, override, 0, 0, 0)


@pytest.mark.skipif(sys.platform != "linux", reason="permissions as Linux has them")
def test_a_home_and_an_installation_that_cannot_be_written_to(tmp_path: Path, usual: str) -> None:
    """What was compiled is read from the installation, as `python -m plotlib.prepare` leaves it."""
    installed = tmp_path / "installed"
    shutil.copytree(HOME / "plotlib", installed / "plotlib", copy_function=shutil.copy2)
    home = tmp_path / "home"
    home.mkdir()
    folders = [home, installed, *(path for path in installed.rglob("*") if path.is_dir())]
    for folder in folders:
        folder.chmod(0o555)
    surroundings = {
        key: value for key, value in os.environ.items() if not key.startswith(("XDG_", "NUMBA_"))
    }
    surroundings |= {"HOME": str(home), "PYTHONPATH": str(installed)}
    before = (
        "import os, pathlib\n"
        "for place in (os.environ['HOME'], os.environ['PYTHONPATH']):\n"
        "    try: (pathlib.Path(place) / 'mark').touch()\n"
        "    except OSError: pass\n"
        "    else: raise AssertionError(place + ' can be written to')\n"
    )
    try:
        told = chain(
            tmp_path / "files", before, env=surroundings, preexec_fn=drop_override, cwd="/"
        )
    finally:
        for folder in folders:
            folder.chmod(0o755)
    assert told == usual
    assert list(home.iterdir()) == []
