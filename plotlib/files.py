"""Files: read with one refusal for whatever is wrong with them, written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
import stat
from pathlib import Path
from typing import TypeAlias

from plotlib.errors import InvalidValue, NotRead, NotWritten

PathLike: TypeAlias = "str | os.PathLike[str]"


def check_suffix(path: PathLike, suffix: str, *, other: str) -> None:
    """Refuse a name whose ending promises another kind of file; none at all is no promise.

    Parameters
    ----------
    path : str or path
        The name of the file.
    suffix : str
        What it should end in, such as ``".png"``; upper case counts as well.
    other : str
        What writes other kinds of files, for the message.

    Raises
    ------
    InvalidValue
        If the name ends in another suffix; ``suffix`` and ``value`` are attributes.

    Examples
    --------
    >>> check_suffix("moon.PNG", ".png", other="svg.write")
    """
    try:
        name = Path(path)
    except TypeError:
        return  # no path at all: write_whole says so
    if name.suffix.lower() in ("", suffix):
        return
    raise InvalidValue(
        f"path must end in {suffix}, as that is what is written, got {name.name!r}; "
        f"name it {name.with_suffix(suffix).name}, or take {other} for another kind of file",
        name="path",
        value=path,
        suffix=suffix,
    )


def read_bytes(path: PathLike, what: str) -> bytes:
    """The bytes of a file that a user named.

    Parameters
    ----------
    path : str or path
        The name of the file.
    what : str
        What the file should hold, for the message: ``"machine profile"``.

    Raises
    ------
    InvalidValue
        If ``path`` is no path.
    NotRead
        If the file is missing, a folder, or may not be read; ``path`` is an attribute.

    Examples
    --------
    >>> read_bytes("no-such.toml", "machine profile")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ...
    plotlib.errors.NotRead: cannot read the machine profile 'no-such.toml': there is no such...
    """
    if not isinstance(path, (str, os.PathLike)) or not str(path):
        raise InvalidValue(
            f"path must be the name of a file to read the {what} from, got {path!r:.100}",
            name="path",
            value=path,
        )
    try:
        return Path(path).read_bytes()
    except (OSError, ValueError) as error:
        raise NotRead(
            f"cannot read the {what} {str(path)[:200]!r}: {why_not_read(error)}", path=str(path)
        ) from error


def read_text(path: PathLike, what: str, *, keep_bytes: bool = False) -> str:
    """The text of a file in UTF-8, without the byte-order mark that some editors put first.

    With ``keep_bytes`` other bytes are kept as lone surrogates; without it they are refused.

    Raises
    ------
    InvalidValue, NotRead
        As ``read_bytes``; NotRead also if the file is not text in UTF-8.
    """
    data = read_bytes(path, what)
    try:
        return data.decode("utf-8-sig", errors="surrogateescape" if keep_bytes else "strict")
    except UnicodeDecodeError as error:
        raise NotRead(
            f"cannot read the {what} {str(path)[:200]!r}: byte {error.start} is not text in UTF-8; "
            f"save it as UTF-8",
            path=str(path),
        ) from error


def why_not_read(error: OSError | ValueError) -> str:
    """What keeps a file from being read, and what helps."""
    if isinstance(error, FileNotFoundError):
        return "there is no such file; check the name and the folder"
    if isinstance(error, IsADirectoryError):
        return "it is a folder; name a file in it"
    if isinstance(error, PermissionError):
        return "its permissions forbid it; let your user read it"
    return f"{getattr(error, 'strerror', None) or error}; give the name of a plain file"


def write_whole(path: PathLike, data: bytes) -> None:
    """Write ``data`` to a temporary file beside ``path`` and rename it, so that nobody ever meets
    half a file.

    A symbolic link keeps pointing where it points, and an existing file keeps its permissions. A
    file that its owner has made read-only is not replaced.

    Raises
    ------
    InvalidValue
        If ``path`` is no path.
    NotWritten
        If the folder is missing or cannot be written to, the file is read-only, or the disk is
        full. No new file is left, and an existing one is as it was.
    """
    target = _target(path)
    part = target.with_name(f".{secrets.token_hex(8)}.part")
    try:
        with part.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            shutil.copymode(target, part)
        os.replace(part, target)
    except OSError as error:
        raise NotWritten(
            f"cannot write {target}: {error.strerror or error}; {target.name} is as it was",
            path=str(target),
        ) from error
    finally:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)


def _target(path: PathLike) -> Path:
    """The file that ``path`` leads to, in a folder that exists."""
    try:
        target = Path(os.path.realpath(path))
        if not isinstance(path, (str, os.PathLike)) or not str(path):
            raise TypeError
        is_folder = target.is_dir()
        has_folder = target.parent.is_dir()
    except OSError as error:
        raise NotWritten(
            f"cannot write {path!s:.200}: {error.strerror or error}; give a shorter name",
            path=str(path),
        ) from error
    except (TypeError, ValueError) as error:
        raise InvalidValue(f"path must be the name of a file, got {path!r}", value=path) from error
    if not has_folder:
        raise NotWritten(
            f"cannot write {target}: there is no folder {target.parent}; make it first",
            path=str(target),
        )
    if is_folder:
        raise NotWritten(
            f"cannot write {target}: it is a folder; give the name of a file in it",
            path=str(target),
        )
    if _is_read_only(target):
        raise NotWritten(
            f"cannot write {target}: the file is read-only; make it writable, delete it, or give "
            f"another name",
            path=str(target),
        )
    return target


def _is_read_only(target: Path) -> bool:
    """Whether a file stands there that may not be written to; a superuser, too, is bound by bits
    that forbid it to everyone.
    """
    if not target.exists():
        return False
    is_writable = target.stat().st_mode & (stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH)
    return not is_writable or not os.access(target, os.W_OK)
