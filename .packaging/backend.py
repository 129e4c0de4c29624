"""Build backend: setuptools, told which packages there are by looking.

The four rooms lie at the top of the repository and are subpackages of ``benchleaf``; setuptools can find packages or
rename them by a prefix, not both from ``pyproject.toml`` alone. Every folder of a room with an ``__init__.py`` is a
package; its data files follow from ``[tool.setuptools.package-data]``.
"""

import setuptools
from setuptools.build_meta import *  # noqa: F403

ROOMS = ("geometry", "sequences", "render", "site")
_setup = setuptools.setup


def packages() -> dict[str, str]:
    """Return package name to folder, found below the rooms."""
    folders = [
        f
        for room in ROOMS
        for f in (room, *(f"{room}/{p.replace('.', '/')}" for p in setuptools.find_packages(room)))
    ]
    return {"benchleaf." + f.replace("/", "."): f for f in folders}


def _setup_found(**attributes: object) -> object:
    found = packages()
    return _setup(
        **{**attributes, "packages": sorted(found), "package_dir": {f"benchleaf.{r}": r for r in ROOMS}}
    )


setuptools.setup = _setup_found
