"""Words of parts' sizes, as a parts list, an order and a kit name them: typed sizes go in, texts of one language come
out. Begin at :mod:`.size_words`.
"""
