"""Other forms of a booklet than its folder of pages.

What enters is a finished booklet with its files, what leaves is one file of the form that is wanted.
"""
