"""The library that writes slides, and files of it that are the same each time."""

from __future__ import annotations

import zipfile
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from io import BytesIO
from typing import Any

from ...folders.zip_files import write_zip


class SlidesUnavailable(RuntimeError):
    """Slides cannot be written here; the message says what is missing and what brings it."""


def installed_slides() -> str:
    """Return what writes slides here, with its version, without loading it; empty where it is not installed."""
    try:
        return f"python-pptx {version('python-pptx')}"
    except PackageNotFoundError:
        return ""


@cache
def slides_library() -> Any:
    """Return the module that writes slides.

    Raises:
        SlidesUnavailable: if it, or what texts are measured by, is not installed.
    """
    try:
        import fontTools.agl
        import pptx
    except ImportError:
        raise SlidesUnavailable("python-pptx is not installed: pip install 'benchleaf[slides]'") from None
    return pptx if fontTools.agl else None


def saved(deck: Any) -> bytes:
    """Return a deck as a file: equal decks give equal bytes, whenever they were made."""
    out = BytesIO()
    deck.save(out)
    still = BytesIO()
    with zipfile.ZipFile(out) as packed:
        write_zip(still, ((n, packed.read(n)) for n in packed.namelist()))
    return still.getvalue()
