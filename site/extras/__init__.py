"""The other verbs that write: export, evidence, new.

In: a fleet file, or that of a user's own assembly. Out: a folder for other programs, or a new fleet. Begin at the
module named for what it writes.
"""
