"""A head's way to its booklet, and all booklets' way to a library.

What enters is a checked fleet (:mod:`..build.fleet_run`); what leaves is the library's folder, whole or not at all.
Begin at :mod:`.library`; :mod:`.head_nodes` is a head's part of the graph, :mod:`.head_tasks` the work in it,
:mod:`.booklet_files` the pages.
"""
