"""Examples of damage for steps that look at surfaces: small drawings made by geometry alone, of no pump in particular.
In: a word of a sequence file. Out: inline SVG with its words. Begin at :mod:`.damage_tiles`.
"""
