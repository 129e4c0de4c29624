"""Booklets and the fleet library as pages that open from disk, the build and the command.

In: a fleet. Out: a folder of pages, exit status and plain words. Begin at ``command.py``, then ``verbs.py``,
``booklets/library.py`` and ``pages/booklet.py``.
"""
