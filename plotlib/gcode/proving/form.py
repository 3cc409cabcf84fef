"""The form of a written program: characters, line ends, lengths, and the few words that a drawing
needs.
"""

from __future__ import annotations

import re

import numpy as np

from plotlib.errors import ProofError
from plotlib.gcode.proving.verdict import refused
from plotlib.gcode.reading.lines import key
from plotlib.gcode.reading.places import Places
from plotlib.gcode.reading.plain import Source
from plotlib.machine import Machine

_COMMENT = r"\([A-Za-z0-9 .,:-]*\)"
_AT_ONCE = 100_000  # lines read between two looks whether somebody interrupts: some 20 ms
_CHARACTERS = 1 << 22  # looked at together, so that a long text needs no second one
_MODES = ("G0", "G1", "G4", "G17", "G21", "G90", "G94", "M0")
_ARCS = ("G2", "G3")
_REASONS = {
    "G2": "an arc: drawings are written in straight lines",
    "G3": "an arc: drawings are written in straight lines",
    "G20": "inches: drawings are written in millimetres",
    "G91": "incremental coordinates: drawings are written in absolute ones",
    "G92": "it changes the coordinates, so the carriage would be somewhere else",
    "G93": "inverse time: feeds are written in mm/min",
    "M2": "a program end before the end",
    "M30": "a program end before the end",
}


def check_form(text: str, machine: Machine) -> None:
    """Refuse anything but plain ASCII, each line ended by one line feed, none too long."""
    if not text.isascii():
        at = next(index for index, letter in enumerate(text) if not letter.isascii())
        raise refused(
            f"the character {text[at]!r} is not plain ASCII", line=text.count("\n", 0, at) + 1
        )
    for bad, name in (("\r", "a carriage return"), ("\t", "a tab"), ("\0", "a zero byte")):
        if bad in text:
            reason = f"{name}: lines end with a line feed alone, words are parted by blanks"
            raise refused(reason, line=text.count("\n", 0, text.index(bad)) + 1)
    if not text.endswith("\n"):
        raise refused("the last line does not end with a line feed", line=text.count("\n") + 1)
    longest, number = _longest(text)
    if longest > machine.longest_line:
        raise refused(
            f"{longest} characters, {longest - machine.longest_line} more than the machine's "
            f"longest_line allows",
            line=number,
        )


def _longest(text: str) -> tuple[int, int]:
    """How long the longest line is, and its number, from 1; the first of several."""
    found = (0, 0)
    count = 0  # lines before the part
    begun = 0
    while begun < len(text):
        end = text.index("\n", min(begun + _CHARACTERS, len(text) - 1)) + 1
        data = np.frombuffer(text[begun:end].encode("ascii"), np.uint8)
        ends = np.flatnonzero(data == ord("\n"))
        lengths = np.diff(ends, prepend=-1) - 1
        at = int(np.argmax(lengths))
        if not count or lengths[at] > found[0]:
            found = int(lengths[at]), count + at + 1
        count += len(ends)
        begun = end
    return found


def check_words(source: Source, places: Places, machine: Machine) -> None:
    """Refuse any line that is neither declared, a comment, nor made of the words of a drawing."""
    lines = source.lines
    own = _own_lines(machine)
    names = places.names
    good = re.compile(own)
    last = (places.epilogue or (len(lines) + 1,))[0] - 1
    for number in (*range(1, places.head + 1), *range(last + 1, len(lines) + 1)):
        if number not in names and not good.fullmatch(lines[number - 1]):
            raise _reason(lines[number - 1], number, machine)
    if not machine.comments:
        _check_no_comments(source)
    number = _first_other(source, own, places.head, last)
    if number is not None:
        raise _reason(lines[number - 1], number, machine)


def _first_other(source: Source, own: str, first: int, last: int) -> int | None:
    """The number, from 1, of the first of the lines ``first`` … ``last - 1`` (from 0) that is not
    of the drawing's ``own``; None where all are.
    """
    run = re.compile(rf"(?:(?:{own})\n)*+")  # possessive: a line once read is not read again
    for begin in range(first, last, _AT_ONCE):
        text = source.joined(begin, min(begin + _AT_ONCE, last)) + "\n"
        match = run.match(text)
        end = 0 if match is None else match.end()
        if end < len(text):
            return begin + text.count("\n", 0, end) + 1
    return None


def _own_lines(machine: Machine) -> str:
    """A pattern of every line that may stand in a written program outside the declared places."""
    number = _number(machine.decimals)
    words = [
        rf"[XY]{_number(_places('X', machine))}",
        r"F\d+(?:\.\d+)?",
        r"P\d+(?:\.\d+)?",
        *_MODES,
    ]
    if has_arcs(machine):
        words += [rf"[IJ]{number}", *_ARCS]
    if machine.lift.heights is not None:
        words.append(rf"Z{number}")
    if machine.comments:
        words.append(_COMMENT)
    word = f"(?:{'|'.join(words)})"
    silent = [
        line
        for line in (*machine.prologue, *machine.setup, *machine.epilogue)
        if key(line) in ("", "%")
    ]
    whole = [re.escape(line) for line in (*machine.lift.lines, *silent)]
    often = f"{words[0]} {words[0]}"  # the most common line first, which is quicker
    return "|".join([often, rf"{word}(?: {word})*", *whole])


def has_arcs(machine: Machine) -> bool:
    """Whether a program may have arcs: where the machine understands them and counts true mm."""
    return machine.arcs and machine.corrections is None and machine.height_map is None


def _places(letter: str, machine: Machine) -> int:
    """Decimals of a coordinate: counts of X and Y that are corrected have one more."""
    return machine.decimals + (letter in "XY" and machine.corrections is not None)


def _number(decimals: int) -> str:
    """Fixed decimals, no needless zero in front, no minus before nothing."""
    tail = rf"\.\d{{{decimals}}}" if decimals else ""
    none = tail.replace(r"\d", "0")
    return rf"(?!-0{none}(?![\d.]))-?(?:0|[1-9]\d*){tail}(?![\d.])"


def _check_no_comments(source: Source) -> None:
    others = np.flatnonzero(source.kind < 0).tolist()
    lines = source.lines
    number = next(
        (index + 1 for index in others if "(" in lines[index] or ";" in lines[index]), None
    )
    if number is not None:
        raise refused("a comment, which this machine does not take (comments=False)", line=number)


def _reason(text: str, line: int, machine: Machine) -> ProofError:
    """Why a line is not one of a drawing's."""
    bare = re.sub(_COMMENT, "", text)
    if any(sign in bare for sign in "();"):
        return refused(
            f"the comment in {text!r} holds other characters than letters, digits, blanks and . , "
            f": -",
            line=line,
        )
    for word in re.findall(r"[A-Z][-+]?[\d.]*", key(bare)):
        reason = _word_reason(word, machine)
        if reason:
            return refused(f"{word}: {reason}", line=line)
    return refused(
        f"{text!r} is not written as a drawing's lines are: words parted by one blank", line=line
    )


def _word_reason(word: str, machine: Machine) -> str | None:
    if word in _ARCS and has_arcs(machine):
        return None
    if word in _REASONS or word in _MODES:
        return _REASONS.get(word)
    if word[0] == "Z" and machine.lift.heights is None:
        return f"a Z word, but this machine lifts its pen with a {machine.lift.kind}"
    if word[0] in "XYZ" or (word[0] in "IJ" and has_arcs(machine)):
        if re.fullmatch(r"-0*\.?0*", word[1:]):
            return "minus nothing; write it without the sign"
        decimals = _places(word[0], machine)
        if not re.fullmatch(_number(decimals), word[1:]):
            return f"a coordinate must have exactly {decimals} decimals"
        return None
    if word[0] in "FP" and re.fullmatch(r"\d+(?:\.\d+)?", word[1:]):
        return None
    return "neither a word that a drawing needs nor a line that the machine declares"
