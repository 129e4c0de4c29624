"""The build: a fleet through all rooms to a library that takes its place whole.

In: a fleet file. Out: the library's folder. Begin at ``library.py``, then ``head_booklet.py``, the stages of one head.
Every verb over a fleet goes in by ``fleet_run.py`` and out by ``folders.py``.
"""
