"""What any stage of the work needs: worker processes, results as JSON, atomic writes, the hash of the code behind them.

In: tasks, dataclasses, bytes, names of modules. Out: their results, files, keys. Knows no pump, no step, no page.
Begin at ``worker_pool.py`` for work side by side, at ``code_hash.py`` for results that are kept.
"""
