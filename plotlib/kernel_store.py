"""Compiled kernels on disk: found again by the next process, and never trusted blindly.

One file for each kernel and kinds of arguments. Its name tells what it was compiled from: the
source of the kernel's file and of every file of the package that this one imports, the kinds of the
arguments, the processor, and the versions of Python, numpy and the compiler. So a change in a
kernel that another one calls is noticed, and nothing has to be deleted by hand. A file begins with
a checksum; one that is damaged is dropped and compiled anew, and where no folder can be written to,
work goes on without.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import pickle
import re
import secrets
import stat
import sys
import tempfile
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from types import FunctionType
from typing import Any

import numpy as np

from plotlib import progress

_IMPORT = re.compile(r"^(?:from|import) (plotlib[\w.]*)(?: import (.*))?", re.MULTILINE)
_ANNOUNCED = (
    "plotlib: preparing its compiled parts, once on this computer; a first plot takes some seconds "
    "more (python -m plotlib.prepare does it all at once)"
)
_CHECKSUM = 32  # bytes of SHA-256 in front of each file
_SUFFIX = ".kernel"
_TEMPORARY = "plotlib-kernels-"


def entry(function: FunctionType) -> Callable[..., Any]:
    """A dispatcher that Python calls; what it compiles is kept on disk."""
    import numba

    dispatcher: Any = numba.njit(nogil=True, error_model="numpy")(function)
    dispatcher._cache = Store(function)
    found: Callable[..., Any] = dispatcher
    return found


def part(function: FunctionType) -> Any:
    """A dispatcher that only other kernels call: without what Python needs to call it, which takes
    a third of the time to compile.
    """
    import numba

    options: dict[str, Any] = {"no_cpython_wrapper": True, "no_cfunc_wrapper": True}
    return numba.njit(nogil=True, error_model="numpy", **options)(function)


def is_kept(function: FunctionType) -> bool:
    """Whether this kernel lies on disk as its source is now, for whatever arguments."""
    return any(_files(function))


def is_compiling() -> bool:
    """Whether this process has compiled anything, and so was slow already."""
    return _preparing.is_announced


class Store:
    """What numba asks for compiled functions, and gives them to keep."""

    def __init__(self, function: FunctionType) -> None:
        self._function = function

    def load_overload(self, signature: Any, target: Any) -> Any:
        """The compiled function for these kinds of arguments; None where none is kept, or what is
        kept is damaged.
        """
        from numba.core.compiler import CompileResult
        from numba.core.runtime.nrt import rtsys

        rebuild: Callable[..., Any] = CompileResult._rebuild
        target.codegen()
        rtsys.initialize(target)
        name = _name(self._function, signature, target)
        for folder in folders():
            path = folder / name
            with contextlib.suppress(OSError):
                data = path.read_bytes()
                try:
                    return rebuild(target, *pickle.loads(_checked(data)))
                except Exception:  # whatever unpickling raises on what it does not know
                    path.unlink()
        _preparing.begin(self._function)
        return None

    def save_overload(self, signature: Any, result: Any) -> None:
        """Keep a compiled function in the first folder that can be written to."""
        _preparing.end()
        if result.library.has_dynamic_globals:
            return
        from numba.core.serialize import dumps

        data: bytes = dumps(result._reduce())  # type: ignore[no-untyped-call]
        name = _name(self._function, signature, result.target_context)
        for folder in folders():
            with contextlib.suppress(OSError):
                _keep(folder, name, hashlib.sha256(data).digest() + data)
                if folder.name.startswith(_TEMPORARY):
                    _preparing.note(
                        f"kept in {folder} only, since no other folder can be written to"
                    )
                return
        _preparing.note("not kept, since no folder can be written to: each start will take so long")

    @property
    def cache_path(self) -> None:
        """Where numba's own store would be."""
        return None

    def enable(self) -> None:
        """Nothing to do."""

    def disable(self) -> None:
        """Nothing to do."""

    def flush(self) -> None:
        """Nothing to do."""


class _Preparing:
    """What is said, once, about compiling.

    The line stands on stderr even where nobody looks on, so that a log says where the seconds
    went; while it goes on, :mod:`plotlib.progress` tells which part it is.
    """

    def __init__(self) -> None:
        self.count = 0
        self.is_announced = False
        self.noted: set[str] = set()
        self.work: contextlib.ExitStack | None = None

    def begin(self, function: FunctionType) -> None:
        if self.work is not None:
            return
        if not self.is_announced:
            self.is_announced = True
            progress.announce(_ANNOUNCED)
        self.count += 1
        part = function.__module__.rpartition(".")[2].removesuffix("_kernel")
        self.work = contextlib.ExitStack()
        self.work.enter_context(progress.stage(f"compiling part {self.count}, {part}"))

    def end(self) -> None:
        if self.work is not None:
            self.work.close()
        self.work = None

    def note(self, what: str) -> None:
        if what not in self.noted:
            self.noted.add(what)
            progress.announce(f"plotlib: its compiled parts are {what}")


_preparing = _Preparing()


def _checked(data: bytes) -> bytes:
    if hashlib.sha256(data[_CHECKSUM:]).digest() != data[:_CHECKSUM]:
        raise pickle.UnpicklingError("damaged")
    return data[_CHECKSUM:]


def _keep(folder: Path, name: str, data: bytes) -> None:
    """Write a whole file or none, and remove what it replaces."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    path = folder / name
    new = folder / f"{secrets.token_hex(8)}.part"
    try:
        new.write_bytes(data)
        os.replace(new, path)
    finally:
        new.unlink(missing_ok=True)
    for old in folder.glob(f"{name.rpartition('-')[0]}-*{_SUFFIX}"):
        if old != path:
            old.unlink(missing_ok=True)


@cache
def folders() -> tuple[Path, ...]:
    """Where kernels may lie, the first choice first: beside the code, in the user's folder for
    such things, in a folder for temporary files that is the user's own.

    ``NUMBA_CACHE_DIR``, if set, is the only place.
    """
    given = os.environ.get("NUMBA_CACHE_DIR")
    if given:
        return (Path(given) / "plotlib",)
    beside = Path(__file__).parent / "__pycache__"
    return (beside, *_of_the_user(), *_temporary())


def kept_in() -> Path | None:
    """The folder where kernels were kept last, of all processes; None where there is none."""
    found = [path for folder in folders() for path in folder.glob(f"plotlib.*{_SUFFIX}")]
    return max(found, key=lambda path: path.stat().st_mtime).parent if found else None


def _of_the_user() -> Iterator[Path]:
    with contextlib.suppress(RuntimeError):  # a user without a home
        home = Path.home()
        if sys.platform == "win32":
            yield Path(os.environ.get("LOCALAPPDATA", home / "AppData/Local")) / "plotlib"
        elif sys.platform == "darwin":
            yield home / "Library/Caches/plotlib"
        else:
            yield Path(os.environ.get("XDG_CACHE_HOME", home / ".cache")) / "plotlib"


def _temporary() -> Iterator[Path]:
    """A folder that nobody else can have put something into."""
    user = os.getuid() if hasattr(os, "getuid") else ""
    folder = Path(tempfile.gettempdir()) / f"{_TEMPORARY}{user}"
    with contextlib.suppress(OSError):
        folder.mkdir(mode=0o700, exist_ok=True)
        known = folder.lstat()
        mine = not hasattr(os, "getuid") or (known.st_uid == user and not known.st_mode & 0o077)
        if stat.S_ISDIR(known.st_mode) and mine:
            yield folder


def _files(function: FunctionType) -> Iterator[Path]:
    pattern = f"{_stem(function)}-*-{_source(function)}{_SUFFIX}"
    for folder in folders():
        yield from folder.glob(pattern)


def _stem(function: FunctionType) -> str:
    return f"{function.__module__}.{function.__qualname__}"


def _name(function: FunctionType, signature: Any, target: Any) -> str:
    import llvmlite
    import numba

    made_by = (sys.version, np.__version__, numba.__version__, llvmlite.__version__)
    kind = repr((signature, target.codegen().magic_tuple(), made_by))
    digest = hashlib.sha256(kind.encode()).hexdigest()[:16]
    return f"{_stem(function)}-{digest}-{_source(function)}{_SUFFIX}"


def _source(function: FunctionType) -> str:
    """A digest of the kernel's file and of all files of the package that it imports."""
    return _digest(function.__code__.co_filename)


@cache
def _digest(file: str) -> str:
    digest = hashlib.sha256()
    for path in sorted(_sources(Path(file), set())):
        digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


def _sources(path: Path, seen: set[Path]) -> set[Path]:
    """A file and the files of the package that it imports, directly or not."""
    if path not in seen and path.is_file():
        seen.add(path)
        for module, names in _IMPORT.findall(path.read_text(encoding="utf-8")):
            place = Path(__file__).parent.joinpath(*module.split(".")[1:])
            _sources(place.with_suffix(".py"), seen)
            for name in re.findall(r"\w+", names):
                _sources(place / f"{name}.py", seen)
    return seen
