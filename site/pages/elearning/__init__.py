"""A booklet as a course for a learning system: its pages in a frame that reports what was read and how a test went.

What enters is a booklet with its files, what leaves are the files of a SCORM 1.2 package.
"""
