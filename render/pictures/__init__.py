"""The kinds of picture: step, close-up, pair, overview, film, SVG, animated 3D model.

In: an assembly and its plans. Out: files with manifests. Begin at ``step_pictures.py``; ``studio.py`` holds what they
share.
"""
