"""The languages of one fleet, or of one assembly of a user's own: the texts it uses, a plant's tables, their releases.

In: a checked data file and the tables that it names. Out: the words of each language. Begin at ``plant_words.py``.
"""
