"""The lettered parts of a chart: axes, scale bars, north arrows, legends and tables.

Each file draws one part from ``lettering`` and plain strokes; begin with ``axes``.
"""
