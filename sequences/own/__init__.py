"""Assemblies of a user's own on their way to a booklet, and a first sequence for one that has none.

What a head's booklet asks of a row of a fleet, an assembly's file gives here: :class:`.own_work.OwnWork` beside
:class:`..proof.head_work.HeadWork`, told apart in :mod:`.designs`.
"""
