"""Models for the booklet's own 3D viewer: all meshes of a head in few bytes, and how each step's parts and tools move.

In: a studio, plans with their views and tools in place. Out: one model shared by all steps. Begin at
:mod:`.viewer_models`; :mod:`.mesh_packing` tells the format of the meshes.
"""
