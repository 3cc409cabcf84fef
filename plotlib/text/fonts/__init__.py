"""Text in outline fonts, as areas that fills can ink.

``font`` opens a file and shapes a text, ``layout`` sets the block, ``contours`` flattens the
outlines and makes areas of them. Begin with ``area``, which holds the public functions.
"""
