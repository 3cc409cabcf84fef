"""What is told of a plot: a few lines for ``print(plot)`` (``summary``), and all of it for
``plot.report()``.

``report`` is the value, its text, its table and its dict; ``gathering`` works it out of a plot;
``findings`` looks for what may go wrong on the paper, each with its place and a remedy.
"""
