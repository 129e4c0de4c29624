"""Words of parts' sizes, and of the rows of the pages beside the sequences: typed rows go in, texts of one language come
out. Begin at :mod:`.size_words`.
"""
