"""Disc springs in the rotor nuts: their force and stress, what they bear on, what settling leaves of the preload.

Begin at ``disc_springs.py``.
"""
