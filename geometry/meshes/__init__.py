"""Solids as meshes: to draw, and to compute with.

In: parts of any assembly. Out: meshes with exact normals and true edges, closed bodies for booleans, overlaps, gaps,
and what a moving solid sweeps. Knows no pump. Begin at ``tessellation.py``, then ``overlaps.py``.
"""
