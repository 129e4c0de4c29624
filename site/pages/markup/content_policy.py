"""What a page may load and run, said to the browser: its own scripts, styles and pictures, and nothing else.

Scripts lie in files. Of what a template writes into the page itself, style elements of the head are let in by their
hash; places of callouts and the like, written as style attributes, become classes of one such element.
"""

from __future__ import annotations

import base64
import hashlib
import re

CHARSET = '<meta charset="utf-8">'
"""What has to stand among a page's first 1,024 bytes; the policy follows it, before all that it speaks of."""
_SELF = "'self' file:"
"""Files beside the page: by their server, or, for a page opened from disk, by their scheme."""

_STYLED = re.compile(r'<(?P<before>[^<>]*?) style="(?P<style>[^"]*)"(?P<after>[^<>]*)>')
_CLASS = re.compile(r'(?<= class=")')
_STYLE_ELEMENT = re.compile(r"<style[^>]*>(.*?)</style>", re.S)


def with_policy(page: str) -> str:
    """Return a page with the policy in its head that lets in what it uses, and with classes for style attributes."""
    head, end, body = page.partition("</head>")
    names: dict[str, str] = {}

    def named(tag: re.Match[str]) -> str:
        name = names.setdefault(tag["style"], f"s{len(names)}")
        rest = f"<{tag['before']}{tag['after']}>"
        if _CLASS.search(rest):
            return _CLASS.sub(f"{name} ", rest, count=1)
        return f'<{tag["before"]} class="{name}"{tag["after"]}>'

    body = _STYLED.sub(named, body)
    if names:
        rules = "".join(f".{name}{{{style}}}\n" for style, name in names.items())
        head += f"<style>\n{rules}</style>"
    hashes = "".join(f" '{_source(text)}'" for text in _STYLE_ELEMENT.findall(head))
    policy = (
        f"default-src 'none'; script-src {_SELF}; style-src {_SELF}{hashes}; img-src {_SELF} data:; "
        "font-src data:; base-uri 'none'; form-action 'none'"
    )
    meta = f'<meta http-equiv="Content-Security-Policy" content="{policy}">'
    return head.replace(CHARSET, f"{CHARSET}\n{meta}", 1) + end + body


def _source(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode("ascii")
