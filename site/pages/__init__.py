"""Pages and the view models they show; knows no build.

In: plans, pictures' manifests, values, evidence, words. Out: HTML files. Begin at ``booklet.py`` (what a booklet
holds), then ``pages.py`` and ``templates/``.
"""
