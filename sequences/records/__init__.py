"""Records of jobs, as the record sheet exports them: read back, with every fault, and followed over time.

What enters: JSON and CSV files; what leaves: checked records, and readings over time with their drift. Begin at
``record_form.py`` (the file, whose JSON Schema is published) and ``drift.py`` (when a reading reaches its limit). It
knows assemblies of any kind: what a reading is of, the record says.
"""
