"""Dimensions, parts as solids, their places, meshes, gaps and figures; knows nothing above it.

In: dimensions and options, or a stranger's solids. Out: an :class:`.assembly.Assembly` of parts in place, closed
meshes, overlaps, engineering figures. Begin at ``assembly.py`` and ``frame.py``, then ``head/head.py``.
"""
