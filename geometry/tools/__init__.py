"""Tools as solids: generic, each made to fit the surface that it goes on.

In: the tool's name and its measures. Out: a valid solid in the tool's own frame (origin where it touches, +Z the way it
comes off the work).
"""
