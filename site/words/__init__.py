"""Catalogues: every sentence a page shows, one folder a language, and the sentences about what was found.

Begin at ``catalogue.py``; a language is a folder of ``.toml`` files here.
"""
