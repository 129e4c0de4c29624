"""Rotors in the plane: their outlines, how they turn in each other, what they displace.

In: centre distance, tip radius, running gap. Out: smooth outlines, gaps through a whole turn, displacement. Begin at
``rotor_profiles.py``, then ``profile_turn.py``. ``outlines.py``, ``pair_turn.py`` and ``solid_turn.py`` hold for any
outlines and solids and know no rotor.
"""
