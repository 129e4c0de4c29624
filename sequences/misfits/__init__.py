"""Wrong placements: which the solids stop, which go in, and what is wrong then.

In: the order graph and bodies. Out: misfits with verdicts, orientation cards. Begin at ``findings.py``
(what comes out), then ``misfits.py`` and ``misplacements.py``.
"""
