"""Sequences and safety messages, and how they become the plan of one assembly.

In: sequence and caution files, options, parts. Out: a :class:`.plan.Plan`. Begin at ``plan.py`` (the contract), then
``sequence_file.py`` and ``resolve.py``; ``travel_poses.py`` tells where parts are on their way.
"""
