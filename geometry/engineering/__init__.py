"""Formulas of the trade with their sources: no solids, no pump.

In: numbers with units, standards' tables. Out: :class:`.figures.Figure` with formula, inputs, source and limit. Begin
at ``figures.py``; each other module is a machine element or a quantity.
"""
