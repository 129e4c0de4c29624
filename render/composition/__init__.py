"""What goes where in a picture: the view, how far parts are drawn out, benches, close-ups, layers.

In: part models and a step. Out: places, camera, layout. Begin at ``views.py``, then ``drawn_travel.py``.
"""
