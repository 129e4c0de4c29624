"""Every dimension of a size that is not measured: what it is, what it follows from, what may be given in its place.

In: the measured dimensions and those worked out before. Out: one class of dimensions a family of parts, of which
:class:`..size.Size` is made. Begin at ``rules.py``; the other modules are named as those of ``parts/``.
"""
