"""Whole assemblies of strangers: read from one STEP file or several; equal parts found, each in its own frame.

Begin at ``read_assembly.py``. All that a file can break happens in a child process.
"""
