"""Texts that people read, told apart from the names beside them in the same files, and put into another language.

In: models of files, whose fields say which are texts; what says a text in another language. Out: the same models and
rows with their texts in it. Begin at ``spoken.py``.
"""
