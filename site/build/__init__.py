"""The build: a fleet through all rooms to a library that takes its place whole.

In: a checked fleet. Out: the library's folder. Begin at ``library.py``, then ``head_booklet.py``.
"""
