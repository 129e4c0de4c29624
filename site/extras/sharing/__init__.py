"""A library in one file, to send or to put on a stick: every file of it, the list of them, and which page to open.

What enters is a fleet file; what leaves is a zip file that :mod:`..verification` can hold against its own list.
"""
