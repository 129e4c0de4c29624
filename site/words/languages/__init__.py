"""Languages: translations as PO files, what they lack, numbers and dates as each writes them, who released its safety
texts.

In: the English catalogue, files of translations that come along, a plant's own table. Out: ``Words`` of one language,
in which whatever is not translated stands in English and is marked. Begin at ``translated.py``.
"""
