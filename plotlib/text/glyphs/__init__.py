"""From a character to the strokes of its glyph.

``records`` reads the published stroke data, ``glyph`` turns a record into strokes on a baseline,
and ``faces`` finds a character's glyph in a face. What the data lack is put together from the
face's own glyphs: ``accents``, ``composed`` and ``signs``, with the tools in ``parts``.
``characters`` walks through a text and says which glyph each character gets. Begin with ``faces``.
"""
