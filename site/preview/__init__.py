"""The library while its files are edited: served on this machine alone, made anew when a file changes, and shown again
at the same place of the same page. Nothing of it is in a library that is built."""
