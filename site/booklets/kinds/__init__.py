"""What only one kind of assembly knows of its booklet: a fluid head of a fleet, or an assembly of a user's own.

All else of a booklet is made by the same code; begin at ``kinds.py``.
"""
