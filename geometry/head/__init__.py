"""The fluid head put together: parts in place, their masses, and what its calculations start from.

In: a size and its options. Out: a :class:`.head.Head`, with what only a head knows as data. Begin at ``head.py``.
"""
