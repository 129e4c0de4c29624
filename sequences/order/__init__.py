"""How parts reach their places, and which has to come before which.

In: an assembly's bodies and a plan. Out: paths with their gaps, the graph of what blocks what. Begin at
``order_graph.py`` (the answer), then ``paths.py``.
"""
