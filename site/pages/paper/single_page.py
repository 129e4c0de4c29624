"""A page made whole in itself: styles, font and pictures within one HTML file that can be sent or copied anywhere."""

from __future__ import annotations

import base64
from collections.abc import Callable

from ..markup.content_policy import with_policy
from .pdf_files import as_jpeg, link_within

_LEFT_OUT = frozenset({"bar", "skip", "onward", "to-record", "film", "in-motion", "buttons"})


def single_page(page: str, read: Callable[[str], bytes]) -> str:
    """Return a page with all that it shows, in one file, without scripts.

    Args:
        page: its text.
        read: gives a file beside the page by its path from there; raises KeyError or OSError where there is none.
    """
    from lxml import etree, html

    tree = html.document_fromstring(page)
    for element in [e for e in tree.iter() if _left_out(e)]:
        element.drop_tree()
    link_within(tree)
    for link in [e for e in tree.iter("link") if e.get("rel") == "stylesheet"]:
        style = etree.Element("style")
        style.text = read(link.get("href", "")).decode("utf-8")
        if media := link.get("media"):
            style.set("media", media)
        link.getparent().replace(link, style)
    for image in tree.iter("img"):
        content = base64.b64encode(as_jpeg(read(image.get("src", "")))).decode("ascii")
        image.set("src", f"data:image/jpeg;base64,{content}")
    return with_policy("<!doctype html>\n" + html.tostring(tree, encoding="unicode"))


def _left_out(element: object) -> bool:
    tag, classes = getattr(element, "tag", ""), getattr(element, "get", lambda *_: "")("class", "").split()
    if tag in ("script", "source", "footer"):
        return True
    return not _LEFT_OUT.isdisjoint(classes) or (tag == "meta" and bool(element.get("http-equiv")))  # type: ignore[attr-defined]
