"""The XML of an SVG file as a tree of elements with their lines.

The parser is the standard library's expat. It opens nothing: no other file, no network. Entities
that the file itself declares are replaced, within a budget; others are listed.
"""

from __future__ import annotations

import re
import zlib
from typing import NamedTuple, cast
from xml.etree import ElementTree
from xml.parsers import expat

from plotlib.errors import SvgError
from plotlib.progress import Stage
from plotlib.svg.artwork import LeftOut

SVG_SPACE = "http://www.w3.org/2000/svg"
_XLINK = "http://www.w3.org/1999/xlink}"
_XML = "http://www.w3.org/XML/1998/namespace}"

# What entities may add to the text, in characters: a hundred times of what editors declare.
ENTITY_BUDGET = 100_000
_MOST_ENTITIES = 1_000
# Elements inside elements. Drawings have some dozens; style sheets look up from each to the root.
DEEPEST = 1_000
# Bytes of a file, unpacked: ten times the largest drawings.
LARGEST = 256 * 1024 * 1024
_CHUNK = 1 << 20
_REFERENCE = re.compile(r"&([^#;&\s]+);")


class Node(ElementTree.Element):
    """An element of the tree, with the line it begins on and the element around it."""

    __slots__ = ("around", "line")
    line: int
    around: Node | None

    def __init__(self, tag: str, given: dict[str, str], line: int, around: Node | None) -> None:
        super().__init__(tag, given)
        self.line = line
        self.around = around

    @property
    def inside(self) -> list[Node]:
        """The elements inside it, in their order."""
        return cast("list[Node]", list(self))


class Document(NamedTuple):
    """A parsed file.

    Attributes
    ----------
    root : Node
        The outermost svg element.
    ids : dict of str to Node
        The first element of each id.
    left_out : list of LeftOut
        What was not taken over while parsing.
    """

    root: Node
    ids: dict[str, Node]
    left_out: list[LeftOut]


def parsed(data: bytes, encoding: str | None, budget: int, work: Stage) -> Document:
    """Parse the bytes of a file.

    Raises
    ------
    SvgError
        If it is no SVG, broken, or its entities or elements are more than their budget.
    """
    data = _unpacked(data)
    if not data.strip():
        raise SvgError("line 1: there is nothing in the file; an SVG begins with <svg", line=1)
    builder = _Builder(len(data), encoding, budget)
    try:
        for at in range(0, len(data), _CHUNK):
            builder.parser.Parse(data[at : at + _CHUNK], False)
            work.done(0.3 * at / len(data))
        builder.parser.Parse(b"", True)
    except SvgError:
        raise
    except expat.ExpatError as error:
        raise _broken(error) from error
    except (LookupError, ValueError, RecursionError) as error:
        raise SvgError(f"line 1: the file cannot be read: {error}", line=1) from error
    assert builder.root is not None  # expat refuses a file without an element
    return Document(builder.root, builder.ids, builder.left_out)


def _unpacked(data: bytes) -> bytes:
    """The bytes of a gzip file (RFC 1952), or those given."""
    if len(data) > LARGEST:
        raise SvgError(f"line 1: the file has more than {LARGEST:,} bytes", line=1)
    if data[:2] != b"\x1f\x8b":
        return data
    unpacker = zlib.decompressobj(wbits=31)
    try:
        plain = unpacker.decompress(data, LARGEST + 1)
    except zlib.error as error:
        raise SvgError(f"line 1: the gzip file is broken: {error}", line=1) from error
    if len(plain) > LARGEST:
        raise SvgError(f"line 1: the gzip file unpacks to more than {LARGEST:,} bytes", line=1)
    if not unpacker.eof:
        raise SvgError("line 1: the gzip file ends too early; copy it once more", line=1)
    return plain


def _broken(error: expat.ExpatError) -> SvgError:
    why = expat.ErrorString(error.code) or str(error)
    column = error.offset + 1
    return SvgError(
        f"line {error.lineno}, column {column}: the XML is broken: {why}",
        line=error.lineno,
        column=column,
    )


class _Builder:
    """Takes what the parser finds and builds the tree."""

    def __init__(self, size: int, encoding: str | None, budget: int) -> None:
        self.size = size
        self.budget = budget
        self.root: Node | None = None
        self.ids: dict[str, Node] = {}
        self.left_out: list[LeftOut] = []
        self._open: list[Node] = []
        self._last: Node | None = None  # closed last: text behind it is its tail
        self._deep = 0  # elements open below the deepest that is kept
        self._count = 0
        self._text = 0
        self._entities: dict[str, int] = {}
        self.parser = expat.ParserCreate(encoding, "}")
        self._listen()

    def _listen(self) -> None:
        parser = self.parser
        parser.buffer_text = True
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._data
        parser.EntityDeclHandler = self._declared
        parser.ExternalEntityRefHandler = self._external
        parser.SkippedEntityHandler = self._skipped
        parser.ProcessingInstructionHandler = self._instruction

    def _start(self, tag: str, given: dict[str, str]) -> None:
        if self._deep:
            self._deep += 1
            return
        if len(self._open) == DEEPEST:
            self._deep = 1
            self._leave_out(_local(tag), f"elements inside elements are read {DEEPEST:,} deep")
            return
        self._count += 1
        if self._count > self.budget:
            self._refuse(f"the file has more elements than budget={self.budget:,}")
        attributes = {_name(key): value for key, value in given.items()}
        around = self._open[-1] if self._open else None
        node = Node(_local(tag), attributes, self.parser.CurrentLineNumber, around)
        self._grown(sum(map(len, given.values())))
        self._add(node)

    def _add(self, node: Node) -> None:
        if self.root is None:
            if node.tag != "svg":
                self._refuse(f"the file is no SVG: its root is {node.tag!r:.60}")
            self.root = node
        else:
            self._open[-1].append(node)
        name = node.get("id")
        if name:
            self.ids.setdefault(name, node)
        self._open.append(node)
        self._last = None

    def _end(self, tag: str) -> None:
        if self._deep:
            self._deep -= 1
        else:
            self._last = self._open.pop()

    def _data(self, text: str) -> None:
        self._grown(len(text))
        if self._deep or not self._open:
            return
        if self._last is not None:
            self._last.tail = (self._last.tail or "") + text
        else:
            self._open[-1].text = (self._open[-1].text or "") + text

    def _grown(self, count: int) -> None:
        """Count what the parser hands on: only entities make it more than there is in the file."""
        self._text += count
        if self._text > self.size + ENTITY_BUDGET:
            self._refuse(f"entities add more than {ENTITY_BUDGET:,} characters")

    def _declared(
        self, name: str, is_parameter: bool, value: str | None, *places: str | None
    ) -> None:
        if value is None:
            self._leave_out("!ENTITY", f"the external entity {name!r:.60} is never opened", name)
            return
        if len(self._entities) >= _MOST_ENTITIES:
            self._refuse(f"more than {_MOST_ENTITIES:,} entities are declared")
        inner = sum(self._entities.get(word, 0) for word in _REFERENCE.findall(value))
        self._entities[name] = len(value) + inner
        if self._entities[name] > ENTITY_BUDGET:
            self._refuse(f"the entity {name!r:.60} is longer than {ENTITY_BUDGET:,} characters")

    def _external(self, *names: str | None) -> int:
        self._leave_out("!ENTITY", f"{names[2] or names[0]!r:.80} is never opened")
        return 1

    def _skipped(self, name: str, is_parameter: bool) -> None:
        self._leave_out("!ENTITY", f"the entity {name!r:.60} is not declared in the file")

    def _instruction(self, target: str, data: str) -> None:
        if target == "xml-stylesheet":
            self._leave_out("?xml-stylesheet", f"another file is never opened: {data:.80}")

    def _leave_out(self, element: str, reason: str, name: str | None = None) -> None:
        line = self.parser.CurrentLineNumber
        self.left_out.append(LeftOut(element=element, id=name, line=line, reason=reason))

    def _refuse(self, why: str) -> None:
        line = self.parser.CurrentLineNumber
        raise SvgError(f"line {line}: {why}", line=line)


def _local(tag: str) -> str:
    """The name of an element: bare in SVG's namespace and in none, else ``{namespace}name``."""
    space, separator, name = tag.rpartition("}")
    if not separator or space == SVG_SPACE:
        return name
    return f"{{{space}}}{name}"


def _name(key: str) -> str:
    """The name of an attribute; those of XLink and XML with their usual prefix."""
    if "}" not in key:
        return key
    if key.startswith(_XLINK):
        return f"xlink:{key[len(_XLINK) :]}"
    if key.startswith(_XML):
        return f"xml:{key[len(_XML) :]}"
    return f"{{{key}"
