"""Ordering: strokes that meet are joined, and the joined runs get an order that costs little.

``join`` makes runs of strokes. ``order`` is the way through the rest: few runs get the exact best
order (``exact``); more get lists of near ends (``lists``, ``neighbours_kernel``), a first tour
(``greedy_kernel``), local search with kicks (``search``, ``tour``, ``search_kernel`` on the state
in ``tour_kernel``), in tiles where there are many (``tiles``, ``blocks``); where closed runs begin
is part of the search (``seats``) and chosen exactly at the end (``closed_kernel``). Begin with
``order``, then ``search``.
"""
