"""From a text to places on the page: where each glyph of a block of lettering stands.

``style`` checks the options of a lettering once, ``breaking`` ends the lines, ``layout`` moves the
pen's place from glyph to glyph, and ``strokes`` puts the glyphs there as ragged arrays. ``within``
reports lettering that leaves its area. Begin with ``layout``.
"""
