"""Pictures of any assembly and its plans, each with a manifest of what it shows.

In: an assembly, plans, settings. Out: pictures, films, SVG, 3D models, manifests. Begin at
``pictures/step_pictures.py`` and ``drawing/manifest.py``.
"""
