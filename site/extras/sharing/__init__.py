"""A library in one file, to send or to put on a stick; and whether that, or any written folder, is as it was written.

What enters is a fleet file or what was written, what leaves is a zip file or what differs from its list.
"""
