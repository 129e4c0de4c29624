"""Films of whole sequences: the steps' scenes with their messages and acts, at the pace of reading, chapter by chapter.

What enters is a head with its plans in words; what leaves are film files with chapters and captions.
"""
