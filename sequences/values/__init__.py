"""Values that belong to a pump: named, sourced, or blank with where to look; how each is read.

Begin at ``value_names.py``, then ``sourced_values.py``.
"""
