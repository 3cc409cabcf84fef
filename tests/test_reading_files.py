"""Files that a user names: one refusal for whatever is wrong with them."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from plotlib import files
from plotlib.errors import InvalidValue, NotRead


def test_a_missing_file_and_a_folder_say_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(NotRead, match="there is no such file; check the name") as caught:
        files.read_bytes(tmp_path / "none.toml", "machine profile")
    assert caught.value.path == str(tmp_path / "none.toml")
    with pytest.raises(NotRead, match="it is a folder; name a file in it"):
        files.read_bytes(tmp_path, "font")


@pytest.mark.skipif(os.geteuid() == 0, reason="a superuser may read everything")
def test_a_forbidden_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "locked.toml"
    path.write_text("")
    path.chmod(0)
    with pytest.raises(NotRead, match="permissions forbid it"):
        files.read_bytes(path, "machine profile")


def test_a_forbidden_file_is_refused_whoever_asks(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(self: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "read_bytes", refuse)
    with pytest.raises(NotRead, match="permissions forbid it; let your user read it"):
        files.read_bytes("bench.toml", "machine profile")


def test_what_is_no_text_names_the_byte(tmp_path: Path) -> None:
    path = tmp_path / "bench.toml"
    path.write_bytes(b"feed = 1\n\xff")
    with pytest.raises(NotRead, match="byte 9 is not text in UTF-8"):
        files.read_text(path, "machine profile")
    assert files.read_text(path, "G-code program", keep_bytes=True) == "feed = 1\n\udcff"


def test_a_byte_order_mark_is_no_text(tmp_path: Path) -> None:
    path = tmp_path / "bench.toml"
    path.write_bytes(b"\xef\xbb\xbffeed = 1")
    assert files.read_text(path, "machine profile") == "feed = 1"


@pytest.mark.parametrize("path", [None, 7, "", ["a"], b"a"])
def test_what_is_no_path_is_refused(path: object) -> None:
    with pytest.raises(InvalidValue, match="path must be the name of a file"):
        files.read_bytes(path, "font")  # type: ignore[arg-type]


def test_a_name_with_a_nul_is_refused() -> None:
    with pytest.raises(NotRead, match="embedded null byte"):
        files.read_bytes("a\0b", "font")
