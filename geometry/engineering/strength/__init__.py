"""What a head's parts bear: keys, pressed faces, threads, studs, plates, springs, shafts; no pump.

In: dimensions, loads and strengths with their sources. Out: :class:`..figures.Figure` judged by a limit. Begin at
``yields.py``; each other module is a machine element.
"""
