"""The fleet's own files, tables, values, and assemblies that are no head.

In: a fleet file or an assembly file. Out: :class:`.heads.Fleet` or :class:`.user_assembly.UserAssembly`. Begin at
``heads.py`` (what comes out) and ``fleet_loader.py`` (how).
"""
