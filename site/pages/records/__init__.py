"""What the record sheet and the page of trends show beside the words: units of the other system, plots of readings.

What enters: units, readings over time with their drift; what leaves: figures that the page's script reckons with, SVG.
Begin at ``record_sheet.py``.
"""
