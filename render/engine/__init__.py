"""The graphics library stays in here: windows, light, line work, section views.

In: models of parts in place, a camera. Out: pixels, depth, which part is seen where. Begin at ``part_models.py``,
then ``stage.py``.
"""
