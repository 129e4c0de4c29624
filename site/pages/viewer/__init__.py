"""The booklet's own 3D viewer: its model as a script with a page's words, and the sources of the viewer itself.

In: the model of :mod:`....render.pictures.viewer`, names, links, cameras. Out: files of a booklet's folder ``viewer``.
Begin at :mod:`.viewer_files`; ``src`` holds the viewer's modules, ``build.mjs`` makes one script of them.
"""
