"""The fluid head put together: parts in place, their masses, and what its calculations start from.

In: a size and its options. Out: a :class:`.head.Head`. Begin at ``head.py``.
"""
