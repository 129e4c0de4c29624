"""Drawings that stand in a page more than once, written into it once: signs, swatches, examples, halos of leaders.

A browser draws them where they are named, with the colours and the size of that place.
"""

from __future__ import annotations

import re
from collections import Counter

LEAST = 80
"""Characters of a drawing's inside from which it is worth a name."""
_DRAWING = re.compile(r"<svg\b(?P<how>[^<>]*)>(?P<inside>(?:(?!<svg\b).)*?)</svg>", re.S)
_CLASS = re.compile(r' class="([^"]*)"')
_BODY = re.compile(r"<body\b[^<>]*>")
_NAMED = re.compile(r"\sid=|<a\b|<use\b|<title\b|url\(|class=.halo")
"""What a drawing may not hold that is shown in several places: names, links, words, leaders."""
_HALO = re.compile(r'<path class="halo" d="(?P<line>[^"]*)"/><path d="(?P=line)"/>')


def drawn_once(page: str) -> str:
    """Return a page in which what it draws alike several times stands once, hidden, as the first thing of its body.

    What holds names, links or words of its own stays where it is. A halo takes the line that it lies under.

    >>> sign = '<svg class="sign"><path d="M0 0' + "h1v1" * 20 + '"/></svg>'
    >>> print(drawn_once(f"<body>{sign}{sign}</body>").replace("h1v1" * 20, ".."))
    <body><svg class="drawn-once" width="0" height="0" aria-hidden="true"><defs><g id="d0" class="sign">\
<path d="M0 0.."/></g></defs></svg><svg class="sign"><use href="#d0"/></svg><svg class="sign"><use href="#d0"/></svg>\
</body>
    """
    seen = Counter(_key(d) for d in _DRAWING.finditer(page))
    worth = [k for k, n in seen.items() if n > 1 and len(k[1]) >= LEAST and not _NAMED.search(k[1])]
    names = {key: f"d{n}" for n, key in enumerate(worth)}

    def shown(drawing: re.Match[str]) -> str:
        name = names.get(_key(drawing))
        return f'<svg{drawing["how"]}><use href="#{name}"/></svg>' if name else drawing[0]

    lines: list[str] = []

    def under(halo: re.Match[str]) -> str:
        if len(halo["line"]) < LEAST // 2:
            return halo[0]
        lines.append(name := f"l{len(lines)}")
        # A style that the page sets does not reach the line where it is shown again; what the line itself says does.
        how = 'vector-effect="non-scaling-stroke"'
        return f'<use class="halo" href="#{name}"/><path id="{name}" {how} d="{halo["line"]}"/>'

    page = _HALO.sub(under, _DRAWING.sub(shown, page))
    if not names:
        return page
    groups = "".join(f'<g id="{name}"{how}>{inside}</g>' for (how, inside), name in names.items())
    hidden = f'<svg class="drawn-once" width="0" height="0" aria-hidden="true"><defs>{groups}</defs></svg>'
    return _BODY.sub(lambda body: body[0] + hidden, page, count=1)


_STORE = re.compile(r'<svg class="drawn-once"[^<>]*><defs>(?P<groups>.*?)</defs></svg>', re.S)
_GROUP = re.compile(r'<g id="(?P<name>d\d+)"[^<>]*>(?P<inside>.*?)</g>(?=<g id="d\d+"|\Z)', re.S)
_USE = re.compile(r'<use href="#(d\d+)"/>')


def drawn_in_full(page: str) -> str:
    """Return a page with each drawing where it is shown, for what makes files of pages and looks into one drawing only.

    >>> sign = '<svg class="sign"><path d="M0 0' + "h1v1" * 20 + '"/></svg>'
    >>> drawn_in_full(drawn_once(f"<body>{sign}{sign}</body>")) == f"<body>{sign}{sign}</body>"
    True
    """
    store = _STORE.search(page)
    if store is None:
        return page
    inside = {g["name"]: g["inside"] for g in _GROUP.finditer(store["groups"])}
    return _USE.sub(lambda use: inside[use[1]], page.replace(store[0], "", 1))


def _key(drawing: re.Match[str]) -> tuple[str, str]:
    """Return what makes two drawings alike: class, by which the style sheet colours their insides, and insides."""
    named = _CLASS.search(drawing["how"])
    return named[0] if named else "", drawing["inside"]
