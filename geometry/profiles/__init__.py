"""Rotors in the plane: their outlines, how they turn in each other, what they displace.

In: centre distance, tip radius, running gap. Out: smooth outlines, gaps through a whole turn, displacement. Begin at
``rotor_profiles.py``, then ``pair_turn.py``.
"""
