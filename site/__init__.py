"""Booklets and the fleet library as pages that open from disk, the build and the command."""
