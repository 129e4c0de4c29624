"""Solids of a head's parts: one module a trade name.

In: a :class:`.stack_up.StackUp`. Out: a valid solid in the part's own frame, with its mating features. Begin at
``solids.py`` (how they are drawn) and ``shafts.py``.
"""
