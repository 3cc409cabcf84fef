"""Style sheets: which declarations each element is given, in the order in which they count.

Parsed by tinycss2, selectors matched by cssselect2. Sheets in other files (``@import``) are never
opened.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import Any, NamedTuple, TypeAlias

from plotlib.checks import package
from plotlib.svg.artwork import LeftOut
from plotlib.svg.reading.document import Document, Node

# Name, value, and whether it is important.
Declaration: TypeAlias = tuple[str, str, bool]

_USE = "reading the style sheets of this SVG"
_MEDIA = {"all", "screen", ""}
_SPECIAL = frozenset("/\\\"'()[]{}!@")


class Rules(NamedTuple):
    """What the sheets of a document say.

    Attributes
    ----------
    of : dict of int to tuple of Declaration
        For each element (by its ``id()``) that a rule matches, its declarations, those that count
        less first.
    left_out : list of LeftOut
        Sheets that were not read.
    """

    of: dict[int, tuple[Declaration, ...]]
    left_out: list[LeftOut]


def rules_of(document: Document) -> Rules:
    """The declarations of all style elements of a document."""
    rules = Rules({}, [])
    sheets = [node for node in document.root.iter("style") if _is_css(node)]
    texts = ["".join(node.itertext()) for node in sheets]
    if not any(text.strip() for text in texts):
        return rules
    matcher = package("cssselect2", install="cssselect2", use=_USE).Matcher()
    for node, text in zip(sheets, texts, strict=True):
        assert isinstance(node, Node)
        _add_rules(matcher, _parsed(text), node, rules.left_out)
    _match(matcher, document.root, rules)
    return rules


def _is_css(node: Any) -> bool:
    kind = node.get("type", "text/css").strip().lower()
    return kind in ("", "text/css") and node.get("media", "").strip().lower() in _MEDIA


def _parsed(text: str) -> Any:
    return _tinycss2().parse_stylesheet(text, skip_comments=True, skip_whitespace=True)


def _tinycss2() -> Any:
    return package("tinycss2", install="tinycss2", use=_USE)


def _add_rules(matcher: Any, rules: Any, node: Node, left_out: list[LeftOut]) -> None:
    selectors = package("cssselect2", install="cssselect2", use=_USE)
    for rule in rules:
        if rule.type == "at-rule":
            _add_at_rule(matcher, rule, node, left_out)
        if rule.type != "qualified-rule":
            continue
        declarations = tuple(_declared(_tinycss2().parse_blocks_contents(rule.content)))
        try:
            found = selectors.compile_selector_list(rule.prelude)
        except selectors.SelectorError as error:
            _leave_out(left_out, node, rule, f"a selector cannot be read: {error}")
            continue
        for selector in found:
            if selector.pseudo_element is None:
                matcher.add_selector(selector, declarations)


def _add_at_rule(matcher: Any, rule: Any, node: Node, left_out: list[LeftOut]) -> None:
    if rule.lower_at_keyword == "import":
        _leave_out(left_out, node, rule, "another sheet (@import) is never opened")
    if rule.lower_at_keyword != "media" or rule.content is None:
        return
    media = _tinycss2().serialize(rule.prelude).lower().split(",")
    if _MEDIA & {word.strip() for word in media}:
        inner = _tinycss2().parse_rule_list(rule.content, skip_comments=True, skip_whitespace=True)
        _add_rules(matcher, inner, node, left_out)


def _leave_out(left_out: list[LeftOut], node: Node, rule: Any, reason: str) -> None:
    line = node.line + rule.source_line - 1
    left_out.append(LeftOut(element="style", id=node.get("id"), line=line, reason=reason))


def _declared(contents: Any) -> Iterator[Declaration]:
    for item in contents:
        if item.type == "declaration":
            value = _tinycss2().serialize(item.value).strip()
            yield item.lower_name, value, item.important


def _match(matcher: Any, root: Node, rules: Rules) -> None:
    wrapper = package("cssselect2", install="cssselect2", use=_USE).ElementWrapper
    for element in wrapper.from_xml_root(root).iter_subtree():
        found = matcher.match(element)  # by specificity, then in the order of the sheets
        if found:
            declarations = tuple(one for match in found for one in match[-1])
            rules.of[id(element.etree_element)] = declarations


@lru_cache(maxsize=4096)
def inline(text: str) -> tuple[Declaration, ...]:
    """The declarations of a style attribute.

    >>> inline("fill: none; STROKE:red")
    (('fill', 'none', False), ('stroke', 'red', False))
    """
    if _SPECIAL & set(text):
        return tuple(_declared(_tinycss2().parse_blocks_contents(text)))
    pairs = [part.partition(":") for part in text.split(";")]
    return tuple(
        (name.strip().lower(), value.strip(), False) for name, colon, value in pairs if colon
    )
