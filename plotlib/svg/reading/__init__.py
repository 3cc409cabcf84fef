"""How an SVG file becomes strokes and areas.

``document`` reads the XML into a tree, without ever opening another file; ``walking`` goes through
it with ``styles`` (what each element says of itself), ``viewports``, ``transforms`` and ``lengths``
and finds the marks: outlines (``path_data``, ``basic_shapes``) with their place and paint;
``marks`` flattens all of them at once, and ``drawing_up`` makes strokes on pens and areas of them.
Begin with ``walking``.
"""
