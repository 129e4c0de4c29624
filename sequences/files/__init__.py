"""Files that people edit: YAML with the place of every node, and faults in plain words.

In: a file. Out: a checked model of it, or every :class:`.faults.Fault` with line, column, value, what is allowed and
the likely fix. Begin at ``faults.py``, then ``yaml_files.py``.
"""
