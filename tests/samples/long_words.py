"""Words of thirty letters in the place of words on a page, and what they push out of the window."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Page

WIDTHS = (360, 390, 1280)
WORD = "Doppelrotorpumpendeckeldichtung"

_SPREAD = """word => {
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT), texts = [];
  while (walk.nextNode()) texts.push(walk.currentNode);
  let count = 0;
  for (const text of texts) {
    // Callouts are laid out for their names when the page is made; a drawing of the order has a frame that scrolls;
    // what is held together by a class of its own is figures, dates and numbers of steps.
    if (text.parentElement.closest("script, style, noscript, svg, .calls, .nb, .num")) continue;
    const longest = (text.data.match(/\\p{L}{4,}/gu) || []).sort((a, b) => b.length - a.length)[0];
    if (!longest) continue;  // figures and units
    text.data = text.data.replace(longest, word);
    count += 1;
  }
  document.querySelectorAll("details").forEach(d => { d.open = true; });
  return count;
}"""
_PUSHED_OUT = """() => {
  const wide = document.documentElement.clientWidth, out = [];
  const scrolls = e => e && e !== document.body && (
    ["auto", "scroll", "hidden"].includes(getComputedStyle(e).overflowX) || scrolls(e.parentElement));
  document.querySelectorAll("body *").forEach(e => {
    const box = e.getBoundingClientRect();
    if (box.width > 1 && box.height > 1 && box.right > wide + 1 && !scrolls(e))
      out.push(`${e.tagName.toLowerCase()}.${e.className} ${Math.round(box.right - wide)}`);
  });
  const over = document.documentElement.scrollWidth - wide;
  if (over > 0) out.push(`page ${over}`);
  return out;
}"""
_OVERLAPS = """() => {
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT), out = [];
  const inline = e => ["inline", "contents"].includes(getComputedStyle(e).display);
  while (walk.nextNode()) {
    let box = walk.currentNode.parentElement;
    if (box.closest("script, style, noscript, svg, .calls, option")) continue;
    while (inline(box)) box = box.parentElement;
    if (getComputedStyle(box).overflowX !== "visible" || box.getBoundingClientRect().width <= 1) continue;
    const range = document.createRange();
    range.selectNodeContents(walk.currentNode);
    const over = range.getBoundingClientRect().right - box.getBoundingClientRect().right;
    if (over > 1) out.push(`text in ${box.tagName.toLowerCase()}.${box.className} ${Math.round(over)}`);
  }
  return out;
}"""


def spread_long_words(page: Page) -> int:
    """Put a word of thirty letters in the place of the longest of every text of a page; return in how many."""
    return int(page.evaluate(_SPREAD, WORD))


def pushed_out(page: Page) -> list[str]:
    """Return each element that or text that stands out of the window or its box, and by how many pixels."""
    found: list[Any] = page.evaluate(_PUSHED_OUT) + page.evaluate(_OVERLAPS)
    return [str(f) for f in found]
