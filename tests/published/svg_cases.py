"""Thirty mixed SVG files of 40 x 40 mm, with lines about 0.1 mm wide, for comparison with other
renderers.

Chromium measures curves in user units, coarsely: with a ``pathLength``, or stretched, its dashes on
small arcs drift by some per cent (a rounded rectangle of 14 x 10 units counts as 43.3 long and is
44.57). There the files have straight lines.
"""

from __future__ import annotations

SPACE = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
LOOK = 'fill="none" stroke="#000" stroke-width=".1" stroke-linejoin="round"'
SIDE = 40.0  # mm


def page(body: str, head: str = 'viewBox="0 0 40 40"', before: str = "") -> str:
    """A file."""
    return f'{before}<svg {SPACE} width="40mm" height="40mm" {head} {LOOK}>{body}</svg>'


STAR = "M20 3L30 36 3 15H37L10 36Z"
BLOB = "M5 20C5 0 35 0 35 20S5 40 5 20"
CASES: dict[str, str] = {
    "lines": page('<path d="M2 2 38 4 20 38zm4 8h20v5H9v-3l4-4.5.5-1"/>'),
    "cubic curves": page('<path d="M2 20C2 2 20 2 20 20S38 38 38 20c0-9-4-9-6-6s2 9-8 9"/>'),
    "quadratic curves": page('<path d="M2 20Q10 2 18 20T34 20q2 8-4 12t-9 2"/>'),
    "arcs": page(
        '<path d="M5 20A8 5 20 0 1 20 20A8 5 20 1 0 35 20a3 9 70 01-9 8a25 25-30 10-14-1"/>'
    ),
    "arcs too small": page('<path d="M5 10A1 2 40 0 1 30 18M5 30a.1.1 0 1 0 20 4a0 3 0 0 0 9 1"/>'),
    "basic shapes": page(
        '<rect x="2" y="3" width="16" height="9" rx="3"/><circle cx="30" cy="9" r="6"/>'
        '<ellipse cx="12" cy="26" rx="9" ry="5"/><line x1="24" y1="20" x2="38" y2="36"/>'
        '<polyline points="2,34 6,38 10,34 14,38"/><polygon points="25,30 32,38 20,38"/>'
    ),
    "rounded rectangles": page(
        '<rect x="2" y="2" width="30" height="8" rx="900"/><rect x="2" y="14" width="20" '
        'height="20" rx="7" ry="2"/><rect x="26" y="14" width="10" height="20" ry="4"/>'
    ),
    "transforms": page(
        '<g transform="translate(20,20) rotate(30) scale(1.2 .7)"><rect x="-9" y="-9" width="18" '
        'height="18"/><g transform="skewX(25)"><circle r="6"/></g></g>'
        '<path d="M2 2h9v6" transform="matrix(1 .2 -.3 1.1 5 1) rotate(-12 4 5)"/>'
    ),
    "mirrored": page(f'<g transform="translate(40) scale(-1 1)"><path d="{BLOB}M3 3h9"/></g>'),
    "transform origin": page(
        '<rect x="5" y="5" width="12" height="6" transform="rotate(40)" '
        'transform-origin="11 8"/><rect x="20" y="20" width="10" height="12" '
        'style="transform:rotate(20deg) scale(.8);transform-origin:50% 50%"/>'
        '<rect x="4" y="25" width="9" height="9" style="transform:rotate(30deg);'
        'transform-origin:center;transform-box:fill-box"/>'
    ),
    "nested viewports": page(
        '<svg x="4" y="3" width="20" height="12" viewBox="0 0 10 10"><circle cx="5" cy="5" r="4.9" '
        'stroke-width=".08"/><path d="M-9 5H19" stroke-width=".08"/></svg>'
        '<svg x="10%" y="50%" width="70%" height="40%" viewBox="-5 -5 10 10" '
        'preserveAspectRatio="xMaxYMin slice" stroke-width=".04"><circle r="4.5"/>'
        '<path d="M-5-5L5 5"/></svg>'
    ),
    "stretched": page(f'<path d="{STAR}"/>', 'viewBox="0 0 40 80" preserveAspectRatio="none"'),
    "in the middle": page('<rect x="1" y="1" width="58" height="28"/>', 'viewBox="0 0 60 30"'),
    "sliced": page(
        '<circle cx="15" cy="15" r="14"/><path d="M0 0 60 30"/>',
        'viewBox="0 0 60 30" preserveAspectRatio="xMinYMid slice" style="stroke-width:.08"',
    ),
    "a view box elsewhere": page(
        f'<path d="{STAR}" transform="translate(-50 70)"/>', 'viewBox="-50 70 40 40"'
    ),
    "pixels": page(
        '<circle cx="75" cy="75" r="60" stroke-width=".4"/><path d="M3 3H140" '
        'stroke-width=".1mm"/>',
        "",
    ),
    "units": page(
        '<g transform="scale(.2645833333)" stroke-width=".1mm"><path d="M0 0"/>'
        '<rect x="2mm" y=".1in" width="1cm" height="20pt"/><line x1="1pc" y1="30mm" x2="40Q" '
        'y2="1.4in"/><circle cx="100px" cy="5em" r="1.5rem"/></g>'
    ),
    "percentages": page(
        '<rect x="5%" y="10%" width="50%" height="20%"/><circle cx="50%" cy="70%" r="20%"/>'
        '<line x1="60%" y1="5%" x2="95%" y2="50%"/>'
    ),
    "use": page(
        '<defs><g id="a"><rect width="6" height="4"/><path d="M0 0 6 4"/></g></defs>'
        '<use href="#a" x="3" y="3"/><use xlink:href="#a" transform="rotate(30 20 20)" x="20" '
        'y="5"/><g id="b"><use href="#a" x="5" y="20"/></g><use href="#b" x="14" y="8" '
        'transform="scale(.9)"/>'
    ),
    "symbols": page(
        '<symbol id="s" viewBox="0 0 10 10"><circle cx="5" cy="5" r="4.8" stroke-width=".06"/>'
        '<path d="M0 5h14" stroke-width=".06"/></symbol><use href="#s" x="2" y="2" width="12" '
        'height="12"/><use href="#s" x="18" y="4" width="18" height="9"/>'
        '<use href="#s" x="4" y="20" width="16" height="16" transform="rotate(10 12 28)"/>'
    ),
    "switch and display": page(
        '<switch><path d="M0 0H39" systemLanguage="xx"/><path d="M3 3H30" systemLanguage="en"/>'
        '<path d="M3 9H39"/></switch><g display="none"><path d="M3 15H39"/></g>'
        '<g visibility="hidden"><path d="M3 20H39"/><path d="M3 25H30" visibility="visible"/></g>'
        '<path d="M3 30H9" requiredExtensions="x"/>'
    ),
    "dashes": page(
        '<path d="M2 3H38" stroke-dasharray="5 2"/><path d="M2 7H38" stroke-dasharray="5 2 1"/>'
        '<path d="M2 11H38" stroke-dasharray="4" stroke-dashoffset="2.5"/>'
        '<path d="M2 15H38" stroke-dasharray="4 3" stroke-dashoffset="-2"/>'
        '<circle cx="20" cy="27" r="10" stroke-dasharray="10% 5%"/>'
    ),
    "dashes along curves": page(
        f'<path d="{BLOB}" stroke-dasharray="3 2"/><path d="{STAR}" stroke-dasharray="6 2 1 2" '
        'stroke-dashoffset="1"/>'
    ),
    "dashes with a path length": page(
        f'<path d="{STAR}" pathLength="60" stroke-dasharray="3 2"/>'
        '<rect x="12" y="12" width="14" height="10" pathLength="10" stroke-dasharray=".5"/>'
    ),
    "dashes under a transform": page(
        '<g transform="scale(2 .5)"><path d="M2 2 18 30 4 70z" stroke-dasharray="2 1" '
        'stroke-width=".07"/></g>'
    ),
    "dots": page(
        '<g stroke-linecap="round" stroke-width=".15"><path d="M5 5h0M10 5zM15 5l0 0M20 5L20 5"/>'
        '<path d="M5 15H35" stroke-dasharray="0 3"/></g><path d="M5 25h0M9 25z"/>'
        '<path d="M20 20"/>'
    ),
    "clips": page(
        '<clipPath id="c"><circle cx="20" cy="20" r="12"/></clipPath><clipPath id="d" '
        'clipPathUnits="objectBoundingBox"><path d="M.1.1H.9L.5.9z"/></clipPath>'
        f'<g clip-path="url(#c)"><path d="{STAR}M0 20H40M0 12H40"/></g>'
        '<path d="M2 4H14M2 6H14M2 8H14M2 10H14M2 2V12" clip-path="url(#d)"/>'
    ),
    "clips in clips": page(
        f'<clipPath id="a"><path d="{STAR}" clip-rule="evenodd"/></clipPath>'
        '<clipPath id="b" clip-path="url(#a)" transform="translate(1 2)"><rect x="8" y="5" '
        'width="22" height="24"/><use href="#r"/></clipPath>'
        '<defs><circle id="r" cx="30" cy="30" r="6"/></defs><g clip-path="url(#b)">'
        + "".join(f'<path d="M0 {y}H40"/>' for y in range(1, 40, 2))
        + "</g>"
    ),
    "style sheets": page(
        "<style>.a{stroke:#000;stroke-width:.1}#i{stroke:none}g>.b{display:none}"
        "path[d^='M9']{stroke:none}rect:nth-of-type(2){transform:translate(9px,0)}"
        "@media print{*{display:none}}.x{stroke:none!important}</style>"
        '<path class="a" d="M2 2 30 9"/><path class="a" id="i" d="M2 5 30 15"/><g><path class="b" '
        'd="M2 9H30"/><path d="M9 9V30"/></g><rect y="12" width="8" height="9"/>'
        '<rect y="12" width="8" height="9"/><path class="x" style="stroke:#000" d="M2 30H38"/>'
    ),
    "entities and CDATA": page(
        '<style><![CDATA[g > line {stroke: none}]]></style><g><line x2="30" y2="30"/>'
        '<path d="&shape;"/></g>',
        before=f'<!DOCTYPE svg [<!ENTITY shape "{BLOB}">]>\n',
    ),
}
