"""Upkeep of a pump between and after its overhauls: what the fleet file says of spares and of clearances as found, and
which steps a symptom leads back to. In go entries of the files that people write, out come typed rows for the pages.
Begin at :mod:`.upkeep`.
"""
