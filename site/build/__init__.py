"""What every build needs around its work: the fleet taken up, the folder swapped in, the store, progress, times.

Every verb over a fleet goes in by ``fleet_run.py`` and out by ``folders.py``; what is kept from build to build lies
where ``kept_results.py`` says. How booklets are made is the next package's matter.
"""
