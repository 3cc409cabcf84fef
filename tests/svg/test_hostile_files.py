"""Forty files that want to do harm or are none: each ends in an error with its line, or is read as
far as it goes with the rest listed; none opens another file, and none takes long.
"""

from __future__ import annotations

import gzip
import socket
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from plotlib.errors import InvalidValue, NotRead, SvgError
from plotlib.svg import Artwork, read

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9">'
LINE = '<path d="M1 1H5" stroke="red"/>'
TAIL = f"{LINE}</svg>"


def bomb(levels: int, width: int) -> str:
    """The billion laughs: each entity is ten of the one before."""
    lines = ['<!ENTITY l0 "haha">']
    for k in range(1, levels):
        lines.append(f'<!ENTITY l{k} "{f"&l{k - 1};" * width}">')
    return f"<!DOCTYPE svg [{''.join(lines)}]>\n{HEAD}<desc>&l{levels - 1};</desc>{TAIL}"


def flat_bomb() -> str:
    """Quadratic blow-up: one long entity, named often."""
    entity = f'<!DOCTYPE svg [<!ENTITY a "{"x" * 50_000}">]>\n'
    return f"{entity}{HEAD}<desc>{'&a;' * 50_000}</desc>{TAIL}"


def in_attributes() -> str:
    entity = f'<!DOCTYPE svg [<!ENTITY a "{"1 " * 20_000}">]>\n'
    return f'{entity}{HEAD}<path d="M{"&a;" * 2_000}"/>{TAIL}'


def use_bomb(levels: int) -> str:
    """Each group uses the one before ten times."""
    groups = [f'<g id="g0">{LINE}</g>']
    for k in range(1, levels):
        uses = f'<use href="#g{k - 1}"/>' * 10
        groups.append(f'<g id="g{k}">{uses}</g>')
    return f'{HEAD}<defs>{"".join(groups)}</defs><use href="#g{levels - 1}"/></svg>'


def clip_bomb(levels: int) -> str:
    clips = ['<clipPath id="c0"><rect width="5" height="5"/></clipPath>']
    for k in range(1, levels):
        rects = f'<rect width="5" height="5" clip-path="url(#c{k - 1})"/>' * 10
        clips.append(f'<clipPath id="c{k}">{rects}</clipPath>')
    return f'{HEAD}{"".join(clips)}<g clip-path="url(#c{levels - 1})">{LINE}</g></svg>'


DEEP = 100_000
CHAIN = "".join(f'<use id="u{k}" href="#u{k + 1}"/>' for k in range(150))
MANY = "".join(f'<!ENTITY e{k} "x">' for k in range(1_001))
REFUSED: dict[str, tuple[str | bytes, str]] = {
    "billion laughs": (bomb(10, 10), "line 1: the entity"),
    "laughs below the limit of one entity": (
        bomb(5, 10).replace("<desc>&l4;</desc>", "<desc>" + "&l4;" * 9 + "</desc>"),
        "line 2: entities add more than 100,000 characters",
    ),
    "quadratic blow-up": (flat_bomb(), "line 2: entities add more"),
    "entities in attributes": (in_attributes(), "line 2"),
    "an entity of itself": (
        f'<!DOCTYPE svg [<!ENTITY a "&b;"><!ENTITY b "&a;">]>\n{HEAD}<desc>&a;</desc>{TAIL}',
        "line 2, column .*recursive entity",
    ),
    "a thousand entities and one": (
        f"<!DOCTYPE svg [{MANY}]>\n{HEAD}{TAIL}",
        "more than 1,000 entities",
    ),
    "an entity that nobody declared": (f"{HEAD}\n<desc>&nbsp;</desc>{TAIL}", "line 2, .*undefined"),
    "broken XML": (f"{HEAD}\n<g>{TAIL}", "line 2, column .*mismatched tag"),
    "cut off": (f"{HEAD}\n{LINE[:20]}", "line 2, column"),
    "no closing tag": (f"{HEAD}\n{LINE}", "line 2, column .*no element found"),
    "two roots": (f"{HEAD}{TAIL}\n{HEAD}{TAIL}", "line 2, column .*junk after"),
    "a bare ampersand": (f"{HEAD}\n<desc>a & b</desc>{TAIL}", "line 2, column"),
    "an attribute twice": (f'{HEAD}\n<g id="a" id="b"/>{TAIL}', "line 2, .*duplicate attribute"),
    "a prefix without namespace": (f'{HEAD}\n<use xlink:href="#a"/>{TAIL}', "line 2, .*unbound"),
    "a character that XML forbids": (f"{HEAD}\n<desc>\x00</desc>{TAIL}", "line 2, column"),
    "bytes that are no text": (b"<svg>\n\xff\xfe\xfa</svg>", "line 2, .*not well-formed"),
    "an encoding that is none": (
        b'<?xml version="1.0" encoding="klingon"?><svg/>',
        "line 1.*encoding",
    ),
    "a page of HTML": ("<!DOCTYPE html>\n<html><body/></html>", "line 2: the file is no SVG"),
    "another namespace": ('<svg xmlns="urn:a" width="9" height="9"/>', "no SVG"),
    "nothing at all": (b"", "there is nothing in the file"),
    "blanks": (b" \n \n", "there is nothing in the file"),
    "an image of pixels": (b"\x89PNG\r\n\x1a\n" + bytes(64), "line 1, column"),
    "broken gzip": (gzip.compress(TAIL.encode())[:-20] + b"x" * 20, "line 1: the gzip file"),
    "half of a gzip file": (gzip.compress(bomb(3, 5).encode())[:60], "line 1: the gzip file ends"),
    "a gzip bomb": (gzip.compress(b" " * (257 << 20), 1), "unpacks to more than"),
    "an endless use": (use_bomb(12), "more points and elements than budget=50,000"),
    "a page without size": ('<svg viewBox="0 0 96 96"/>', r"pass size=.*size=\(25\.4, 25\.4\)"),
    "a page of no size": ('<svg width="0" height="9"/>', "which no paper is"),
    "a page as large as a planet": ('<svg width="1e9" height="9"/>', "which no paper is"),
    "a page that is not a number": ('<svg width="NaN" height="inf"/>', "says no size"),
    "a path of more points than the budget": (
        f'{HEAD}<path d="M0 0{"h1v1" * 30_000}"/></svg>',
        "more points and elements than budget=50,000",
    ),
    "dashes without end": (
        f'{HEAD}<path d="M0 0H9" stroke="red" stroke-dasharray="1e-7"/></svg>',
        "more points and elements than budget=50,000",
    ),
}
LISTED: dict[str, tuple[str, int, str]] = {
    "100,000 groups in each other": (
        f"{HEAD}{LINE}{'<g>' * DEEP}{LINE}{'</g>' * DEEP}</svg>",
        1,
        "elements inside elements are read 1,000 deep",
    ),
    "a use of itself": (f'{HEAD}{LINE}<use id="u" href="#u"/></svg>', 1, "uses itself"),
    "uses in a ring": (
        f'{HEAD}{LINE}<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g></svg>',
        1,
        "uses itself",
    ),
    "a use of what is around it": (
        f'{HEAD}<g id="a">{LINE}<use href="#a"/></g></svg>',
        1,
        "itself",
    ),
    "a long chain of uses": (
        f'{HEAD}{LINE}<use href="#u0"/><defs>{CHAIN}</defs></svg>',
        1,
        "followed 100 deep",
    ),
    "a clip that clips itself": (
        f'{HEAD}{LINE}<clipPath id="c"><rect width="9" height="9" clip-path="url(#c)"/></clipPath>'
        f'<g clip-path="url(#c)">{LINE}</g></svg>',
        1,
        "clips itself",
    ),
    "an entity in another file": (
        f'<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]>\n{HEAD}<desc>&a;</desc>{TAIL}',
        1,
        "never opened",
    ),
    "a document type in another file": (
        f'<!DOCTYPE svg SYSTEM "http://127.0.0.1:9/a.dtd" [<!ENTITY % p SYSTEM "a.ent"> %p;]>\n'
        f"{HEAD}<desc>&a;</desc>{TAIL}",
        1,
        "never opened",
    ),
    "a style sheet in another file": (
        f'<?xml-stylesheet href="http://127.0.0.1:9/a.css"?>{HEAD}{TAIL}',
        1,
        "never opened",
    ),
    "a sheet that imports": (
        f"{HEAD}<style>@import url(http://127.0.0.1:9/a.css);</style>{TAIL}",
        1,
        "never opened",
    ),
    "a use of another file": (f'{HEAD}<use href="/etc/passwd#a"/>{TAIL}', 1, "never opened"),
    "a picture from the network": (
        f'{HEAD}<image href="http://127.0.0.1:9/a.png" width="9" height="9"/>{TAIL}',
        1,
        "pictures are not taken over",
    ),
    "coordinates beyond all paper": (
        f'{HEAD}<path d="M0 0L1e30 1" stroke="red"/>{TAIL}',
        1,
        "absurd",
    ),
    "coordinates that overflow": (
        f'{HEAD}<path d="M0 0L1e999 1" stroke="red"/>{TAIL}',
        1,
        "absurd",
    ),
    "a transform that carries off": (
        f'{HEAD}<g transform="translate(1e9)">{LINE}</g>{TAIL}',
        1,
        "reaches beyond",
    ),
    "arcs that overflow": (
        f'{HEAD}<path d="M0 0A1e308 1e308 1e308 1 1 1e308 9" stroke="red"/>{TAIL}',
        1,
        "absurd",
    ),
    "a script": (f"{HEAD}<script>while (true);</script>{TAIL}", 1, "never run"),
    "a selector that cannot be read": (
        f"{HEAD}<style>::: {{fill:red}}</style>{TAIL}",
        1,
        "selector",
    ),
}
# Wild, but no harm: read like any other.
PLAIN: dict[str, tuple[str, int]] = {
    "entities as editors use them": (
        f'<!DOCTYPE svg [<!ENTITY red "#f00">]>\n{HEAD}<path d="M1 1H5" stroke="&red;"/></svg>',
        1,
    ),
    "clips of clips": (clip_bomb(8), 1),
    "numbers of 100,000 digits": (
        f'{HEAD}<path d="M1 1H{"0" * 100_000}5" stroke="red"/></svg>',
        1,
    ),
    "a style sheet of brackets": (f"{HEAD}<style>{'{(' * 2_000}</style>{TAIL}", 1),
    "a matrix that flattens all": (f'{HEAD}<g transform="matrix(1 1 1 1 0 0)">{LINE}</g></svg>', 0),
    "a transform that is not a number": (f'{HEAD}<g transform="scale(1e999)">{LINE}</g></svg>', 0),
    "widths beyond all paper": (
        f'{HEAD}<path d="M1 1H5" stroke="red" stroke-width="1e300"/></svg>',
        0,
    ),
    "a thousand switches": (f"{HEAD}{'<switch>' * 900}{LINE}{'</switch>' * 900}</svg>", 1),
}


@pytest.fixture
def no_other_file(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """No socket is made, and no file is opened while a text is read."""

    def refuse(*_: object, **__: object) -> Any:
        raise AssertionError("something was opened")

    with monkeypatch.context() as patch:
        patch.setattr(socket, "socket", refuse)
        patch.setattr(socket, "create_connection", refuse)
        patch.setattr(Path, "open", refuse)
        patch.setattr("builtins.open", refuse)
        yield


def test_there_are_forty_at_least() -> None:
    assert len(REFUSED) + len(LISTED) + len(PLAIN) >= 40


def quiet(source: Any, **options: Any) -> Artwork:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return read(source, budget=50_000, **options)


@pytest.mark.parametrize("name", REFUSED)
def test_refused_with_the_line(name: str, tmp_path: Path) -> None:
    content, why = REFUSED[name]
    source: Any = content
    if isinstance(content, bytes):
        source = tmp_path / "hostile.svg"
        source.write_bytes(content)
    with pytest.raises(SvgError, match=why) as caught:
        quiet(source)
    assert caught.value.line >= 1
    assert str(caught.value).startswith(f"line {caught.value.line}")


@pytest.mark.usefixtures("no_other_file")
@pytest.mark.parametrize("name", LISTED)
def test_read_as_far_as_it_goes_and_listed(name: str) -> None:
    text, count, why = LISTED[name]
    art = quiet(text)
    assert len(art.drawing) == count
    assert any(why in item.reason for item in art.left_out), art.left_out
    assert all(item.line >= 1 for item in art.left_out)
    with pytest.raises(SvgError, match="not all of the SVG can be taken over"):
        quiet(text, strict=True)


@pytest.mark.parametrize("name", PLAIN)
def test_wild_but_read(name: str) -> None:
    text, count = PLAIN[name]
    assert len(quiet(text).drawing) == count


@pytest.mark.parametrize("name", ["/", "/no/such/file.svg", "a\x00b", "x" * 5_000])
def test_no_file_at_all(name: str) -> None:
    with pytest.raises((NotRead, InvalidValue)):
        read(name)
