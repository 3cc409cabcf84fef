"""The characters of a text element: SVG 2, chapter Text, "White space", "The text and tspan
elements" (lists of x, y, dx, dy) and "Text alignment".
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from plotlib.svg.reading.basic_shapes import ALONG
from plotlib.svg.reading.document import Node
from plotlib.svg.reading.lengths import length, resolved
from plotlib.svg.reading.places import Place
from plotlib.svg.reading.styles import computed

if TYPE_CHECKING:
    from plotlib.svg.reading.walking import Walk

_INSIDE = frozenset({"tspan", "a"})
_LISTS = ("x", "y", "dx", "dy")
# What else moves letters: said to be left out where it stands.
_UNKNOWN = ("rotate", "textLength", "letter-spacing", "word-spacing", "writing-mode")
_UNKNOWN_STYLES = ("dominant-baseline", "alignment-baseline", "baseline-shift")
_PLAIN = ("auto", "normal", "baseline", "alphabetic", "0", "horizontal-tb", "lr-tb", "lr")


class Letter:
    """A character, the place that it is lettered in, and where it is moved to or by."""

    __slots__ = ("character", "moved", "node", "place")

    def __init__(self, character: str, node: Node, place: Place) -> None:
        self.character = character
        self.node = node
        self.place = place
        self.moved: dict[str, float] = {}


class Word(NamedTuple):
    """Letters that are set together, without a move inside.

    Attributes
    ----------
    text : str
        The letters.
    node : Node
        The element that they stand in.
    place : Place
        Its place.
    moved : dict of str to float
        ``x`` and ``y``: where it begins; ``dx`` and ``dy``: by how much it is moved.
    """

    text: str
    node: Node
    place: Place
    moved: dict[str, float]


def words_of(walk: Walk, node: Node, place: Place) -> list[Word]:
    """The words of a text element whose own place is given."""
    letters = _collapsed(list(_letters(walk, node, place, 0)), _is_kept(node))
    _move(walk, node, place, letters)
    words: list[Word] = []
    for letter in letters:
        last = words[-1] if words else None
        if last is not None and last.node is letter.node and not letter.moved:
            words[-1] = last._replace(text=last.text + letter.character)
        else:
            words.append(Word(letter.character, letter.node, letter.place, letter.moved))
    return words


def _letters(walk: Walk, node: Node, place: Place, depth: int) -> Iterator[Letter]:
    _tell(walk, node)
    for character in node.text or "":
        yield Letter(character, node, place)
    for child in node.inside:
        if child.tag in _INSIDE and depth < 50:
            declared = walk.cascade.declared(child)
            if walk.is_shown(child, declared):
                style = computed(place.style, declared, place.scope)
                scope = place.scope._replace(font=style.font_size)
                inner = place._replace(style=style, scope=scope)
                yield from _letters(walk, child, inner, depth + 1)
        elif child.tag not in ("title", "desc") and not child.tag.startswith("{"):
            walk.leave_out(child, "in a text only tspan elements are lettered")
        for character in child.tail or "":
            yield Letter(character, node, place)


def _tell(walk: Walk, node: Node) -> None:
    for name in (*_UNKNOWN, *_UNKNOWN_STYLES):
        if node.get(name, "auto").strip() not in _PLAIN:
            walk.leave_out(node, f"its {name} is not taken over")


def _is_kept(node: Node) -> bool:
    """Whether blanks are kept as they are: ``xml:space`` here or around."""
    around: Node | None = node
    while around is not None:
        given = around.get("xml:space")
        if given is not None:
            return given == "preserve"
        around = around.around
    return False


def _collapsed(letters: list[Letter], kept: bool) -> list[Letter]:
    """Line ends and tabs as blanks; unless they are kept, one blank for several, and none at the
    beginning and the end.
    """
    found: list[Letter] = []
    for letter in letters:
        if letter.character in "\t\n\r":
            letter.character = " "
        is_second = not found or found[-1].character == " "
        if kept or letter.character != " " or not is_second:
            found.append(letter)
    if found and not kept and found[-1].character == " ":
        found.pop()
    return found


def _move(walk: Walk, node: Node, place: Place, letters: list[Letter]) -> None:
    """Hand out the lists of an element and of those inside, which count more."""
    for name in _LISTS:
        values = _values(walk, node, name, place)
        own = [letter for letter in letters if _is_in(letter.node, node)] if values else []
        for letter, value in zip(own, values, strict=False):
            letter.moved[name] = value
    for child in node.inside:
        if child.tag in _INSIDE:
            _move(walk, child, place, letters)


def _values(walk: Walk, node: Node, name: str, place: Place) -> list[float]:
    values = []
    for word in node.get(name, "").replace(",", " ").split():
        found = length(word)
        if found is None:
            walk.leave_out(node, f"{name}={word!r:.40} is no length")
            break
        values.append(resolved(found, place.scope, ALONG[name]))
    return values


def _is_in(node: Node, outer: Node) -> bool:
    around: Node | None = node
    while around is not None and around.tag in ("text", *_INSIDE):
        if around is outer:
            return True
        around = around.around
    return False
