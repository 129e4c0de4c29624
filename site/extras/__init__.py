"""The verbs beside ``build``: export, evidence, new.

Begin at the module named for what it writes.
"""
