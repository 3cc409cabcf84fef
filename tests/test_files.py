from __future__ import annotations

import stat
from pathlib import Path

import pytest

from plotlib.errors import NotWritten
from plotlib.files import write_whole


def test_a_read_only_file_is_not_replaced(tmp_path: Path) -> None:
    path = tmp_path / "kept.gcode"
    write_whole(path, b"old")
    path.chmod(0o444)
    with pytest.raises(NotWritten, match=r"kept\.gcode: the file is read-only; make it writable"):
        write_whole(path, b"new")
    assert path.read_bytes() == b"old"
    assert [item.name for item in tmp_path.iterdir()] == ["kept.gcode"]
    path.chmod(0o640)
    write_whole(path, b"new")
    assert path.read_bytes() == b"new"
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
