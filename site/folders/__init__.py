"""The folders that the command writes: what each holds and who wrote it, and what killed builds have left beside it.

It knows no fleet and no page. Nothing here asks what time it is: file dates play no part.
"""
