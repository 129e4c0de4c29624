"""Step data, its loader and checks, the plan of one head, calculations, and what the solids prove.

In: a fleet file and what it names. Out: a checked :class:`.heads.Fleet`, a :class:`.plan.Plan` a sequence, its
:class:`.evidence.Evidence`. Begin at ``steps/plan.py``, then ``calculations/load_fleet.py`` and ``proof/prove.py``.
"""
