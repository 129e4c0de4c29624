"""Assemblies of a user's own begun from CAD files: a folder with their parts, their file and a first sequence."""
