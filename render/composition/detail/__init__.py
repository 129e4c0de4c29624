"""Details: close-ups of what a step's acts name and its picture does not show, from where it is seen, or cut open.
In: a scene with its zones and tools, the camera of its picture. Out: what each close-up shows. Begin at
:mod:`.details`.
"""
