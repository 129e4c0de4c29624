"""What is drawn over and around the renderer's pixels: arrows, close-ups, callouts, finish, manifests.

Begin at ``manifest.py`` and ``compose.py``.
"""
