"""Links between pages of one language: the pages of the first one have plain names, the others' a code before the
ending.

``assembly.html`` and ``assembly.de.html`` lie side by side and show the same pictures.
"""

from __future__ import annotations

import re

_LINK = re.compile(
    r'(?P<free>hreflang="[\w-]+" href=)?(?P<open>"|&quot;|&#34;)(?P<path>(?:[\w.-]+/)*[\w-]+)\.html(?=["#?&])'
)
_SCRIPT = re.compile(r'(<script src="(?:[\w.-]+/)*(?:asked|pumps))\.js(?=")')


def suffix_of(language: str, first: str) -> str:
    """Return what stands before the ending of a page's name.

    >>> suffix_of("en", "en"), suffix_of("de", "en")
    ('', '.de')
    """
    return "" if language == first else f".{language}"


def named_for(file: str, suffix: str) -> str:
    """Return the name of a page or script in another language.

    >>> named_for("assembly.html", ".de"), named_for("../asked.js", ".de"), named_for("a.html", "")
    ('assembly.de.html', '../asked.de.js', 'a.html')
    """
    stem, dot, ending = file.rpartition(".")
    return f"{stem}{suffix}{dot}{ending}"


def linked_for(text: str, suffix: str) -> str:
    """Return a page, or data for its scripts, whose links to pages beside it stay in its language.

    A link that says itself which language it leads to stays as it is.

    >>> linked_for('<a href="record.html#sign">', ".de"), linked_for('<a hreflang="en" href="record.html">', ".de")
    ('<a href="record.de.html#sign">', '<a hreflang="en" href="record.html">')
    """
    if not suffix:
        return text

    def in_language(link: re.Match[str]) -> str:
        return link[0] if link["free"] else f"{link['open']}{link['path']}{suffix}.html"

    return _SCRIPT.sub(rf"\g<1>{suffix}.js", _LINK.sub(in_language, text))
