"""Planning: a drawing and a machine become a Plot.

``plan`` is the recipe of the whole: check everything, place, join, order, wrap. Its steps stand in
four rooms: ``placing`` puts the drawing on the machine's grid and keeps it inside the envelope;
``ordering`` joins strokes and finds a short way for the pen; ``bounding`` proves what no order can
be below; ``moving`` says how long the machine takes; ``metric`` is what these three count in.
``reporting`` tells all of it. Begin with ``plan``, then read ``plot``.
"""
