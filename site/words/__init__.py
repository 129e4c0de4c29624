"""Catalogues: every sentence a page shows, one file a language, and the sentences about what was found.

Begin at ``catalogue.py``; a language is a ``.toml`` file here.
"""
