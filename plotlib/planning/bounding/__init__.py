"""Bounding: a number, proven, that the pen-up moves of no order can be below.

A Held-Karp bound: multipliers on the ends of runs raise the weight of a minimum 1-tree (``search``,
``ascent_kernel``, ``levels_kernel``), Edmonds' odd sets raise it further (``sets``), and one exact
tree over the complete graph certifies what is reported (``tree_kernel``, ``cells_kernel``). Begin
with ``bound``, then ``search``.
"""
