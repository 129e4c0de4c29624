"""Catalogues: every sentence a page shows, one folder a language, and the sentences about what was found.

In: a key with its fields, or a typed finding of the proof. Out: text. Begin at ``catalogue.py``, then
``part_names.py`` and ``findings.py``; a language is a folder of ``.toml`` files here.
"""
