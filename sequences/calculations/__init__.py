"""The calculation sheets of a head, and what figures say against its data.

In: a fleet's head. Out: sheets of figures, blanks, doubts. Begin at ``calculation_sheets.py``, then
``load_fleet.py``, the way into a fleet that is checked and judged.
"""
