"""Solids from and for other programs.

In: STEP and mesh files of others, or an assembly of ours. Out: checked parts, STEP and glTF files. Begin at
``own_parts.py`` for what comes in (read in a child process, ``bounded.py``), ``cad_export.py`` for what goes out.
"""
