"""All that the solids say about plans, worked out once and kept.

In: an assembly and its plans. Out: :class:`.evidence.Evidence`. Begin at ``prove.py`` (the door) and ``evidence.py``
(what comes out). Only ``head_proof.py`` knows that there are heads.
"""
