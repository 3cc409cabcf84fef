"""Whatever is given to a public maker, it draws or says what is wrong with which argument; never an
error of a library beneath, never without end.
"""

import faulthandler
import inspect
import re
import signal
import sys
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from plotlib.errors import PlotlibError
from tests.wrong_values import DXF, GIVEN, MACHINE, NOTHING, Maker, maker, public_names, wrong_calls

# Seconds of the processor in which a wrong call must have ended: a guard against endless ones, no
# measure of speed.
ENDLESS = 30
STUCK = 300  # seconds after which a call that no signal reaches ends the run with its traceback

# How messages call an argument where its own name would read badly.
ALSO = {
    "region": ("area",),
    "plot_or_drawing": ("drawing", "plot", "stroke"),
    "strokes": ("stroke",),
    "keep_outs": ("keep",),
    "path": ("profile",),
    "drawing": ("stroke",),
    "machine": ("bed",),
    "thing": ("program", "path"),
    "path_or_text": ("program", "path", "line"),
}
MAKERS = dict(public_names())


class EndlessCall(BaseException):
    """Not an Exception, so that nothing on the way takes it for one of its own."""


@contextmanager
def guarded() -> Iterator[None]:
    def ring(number: int, frame: object) -> None:
        raise EndlessCall

    before = signal.signal(signal.SIGPROF, ring)
    signal.setitimer(signal.ITIMER_PROF, ENDLESS)
    faulthandler.dump_traceback_later(STUCK, exit=True, file=sys.__stderr__)
    try:
        yield
    finally:
        faulthandler.cancel_dump_traceback_later()
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


def names_one(error: PlotlibError, arguments: tuple[str, ...]) -> bool:
    """Whether the error says which argument is wrong, in its text or in its facts."""
    known = {other for name in arguments for other in (name, *ALSO.get(name, ()))}
    said = set(re.findall(r"\w+", str(error).lower()))
    spaced = {name for name in known if name.replace("_", " ") in str(error)}
    plural = {name for name in known if f"{name}s" in said or name.removesuffix("s") in said}
    is_fact = error.facts.get("name") in known or known & error.facts.keys()
    return bool(known & said or spaced or plural or is_fact)


def is_documented(one: Maker, error: PlotlibError) -> bool:
    """Whether the docstring's section Raises names the error's class, or one of its bases."""
    section = (inspect.getdoc(one.call) or "").partition("\nRaises\n------\n")[2]
    listed = section.partition("\n\n")[0]
    bases = [kind.__name__ for kind in type(error).__mro__ if issubclass(kind, PlotlibError)]
    return any(re.search(rf"^(\w+, )*{name}\b", listed, re.MULTILINE) for name in bases)


def verdict(one: Maker, arguments: tuple[str, ...], given: dict[str, object]) -> str | None:
    """What is wrong with how the call ended; None when nothing is."""
    try:
        with warnings.catch_warnings(), guarded():
            warnings.simplefilter("ignore")
            one.call(**given)
    except PlotlibError as error:
        if not names_one(error, arguments):
            return f"does not name it: {error}"
        return (
            None if is_documented(one, error) else f"raises {type(error).__name__} unsaid: {error}"
        )
    except AssertionError as error:
        is_meant = one.name.startswith("testing.assert_") and str(error)
        return None if is_meant else f"bare AssertionError: {error}"
    except TypeError as error:
        is_of_the_design = one.name == "testing.assert_deterministic"  # which calls it with nothing
        return None if is_of_the_design else f"bare TypeError: {error}"
    except EndlessCall:
        return f"no end within {ENDLESS} s"
    except BaseException as error:
        return f"bare {type(error).__name__}: {error}"
    was_taken = any(given[name] is NOTHING for name in arguments)
    return "was taken" if was_taken else None


def complaints(name: str) -> list[str]:
    one = maker(name, MAKERS[name])
    one.call(**one.given)
    found = []
    for arguments, given in wrong_calls(one):
        wrong = verdict(one, arguments, given)
        if wrong is not None:
            shown = ", ".join(f"{argument}={given[argument]!r:.60}" for argument in arguments)
            found.append(f"{name}({shown}): {wrong:.300}")
    return found


@pytest.fixture
def in_folder(tmp_path, monkeypatch):
    """Wrong paths may name files that can be written."""
    monkeypatch.chdir(tmp_path)
    MACHINE.save("bench.toml")
    Path("plan.dxf").write_text(DXF, encoding="utf-8")


def test_every_public_maker_has_a_row():
    assert set(MAKERS) == set(GIVEN)


def test_the_walk_is_long():
    calls = sum(1 for name in MAKERS for _ in wrong_calls(maker(name, MAKERS[name])))
    assert calls >= 1_000


@pytest.mark.skipif(not hasattr(signal, "SIGPROF"), reason="no such timer here")
@pytest.mark.parametrize("name", sorted(MAKERS))
def test_wrong_values_are_refused_by_name(name, in_folder):
    found = complaints(name)
    assert not found, f"{len(found)} wrong calls:\n" + "\n".join(found)


if __name__ == "__main__":  # python tests/properties/test_wrong_values.py ROOM …
    for asked in sorted(MAKERS):
        if any(asked.startswith(prefix) for prefix in sys.argv[1:] or [""]):
            for line in complaints(asked):
                print(line, flush=True)
            print("#", asked, flush=True)
