"""The library's own pages: every booklet in one list with search, filters and spares, two pumps compared, what changed.

What enters: a line and rows of each booklet, ready in words. What leaves: HTML files, and one script of data beside
them. Begin at ``library_pages.py``.
"""
