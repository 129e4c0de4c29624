"""What any stage of the work needs to keep results: whole files, plain data, the hash of code.

Knows no pump, no step, no page. Begin at ``code_hash.py``.
"""
