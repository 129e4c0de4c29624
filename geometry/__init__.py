"""Dimensions, parts as solids, their places, meshes, gaps and figures."""
