"""Turn booklets and the fleet's library into pages: Jinja2, strict and autoescaped, with the catalogue's words."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.metadata import version
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup, escape

from ...geometry.engineering.units import UNITS
from ...sequences.records.record_form import taken_in
from ...sequences.steps.marks.plant_marks import NO_LOOK, PlantContact, PlantLook
from ..words.catalogue import Words, load_words
from ..words.doubt_words import doubt_in_words
from ..words.figure_words import group_in_words
from ..words.languages.locales import direction_of, language_name
from ..words.value_words import (
    instrument_in_words,
    rule_in_words,
    use_in_words,
    value_in_words,
    value_title,
    where_to_look,
)
from .booklet import Booklet, grouped
from .cards.qr_codes import qr_code
from .cards.sheets import card_sheets
from .class_view.notes import class_notes
from .examples.damage_tiles import damage_tiles
from .markup.content_policy import with_policy
from .markup.data_scripts import data_script
from .markup.drawn_once import drawn_once
from .markup.in_english import in_english
from .markup.page_links import linked_for, named_for, suffix_of
from .paper.contents import paper_contents
from .paper.parts import BookletPart
from .records.record_sheet import form_script, other_unit, record_texts
from .view_models import NBSP

HERE = Path(__file__).parent
ASSETS = HERE / "assets"
LOGO = "assets/plant-logo.png"
"""Where pages look for the plant's logo."""
QUESTIONS = "asked.js"
"""The questions of a booklet, for rounds and tests alike."""

_UNITS = "|".join(
    sorted(
        (
            re.escape(u)
            for u in (*(UNITS.keys() - {"in"}), "g", "mL", "L", "min", "s", "h", "%", "°", "kN", "N", "rpm")
        ),
        key=len,
        reverse=True,
    )
)
_FIGURE = r"[-+−±]?\d+(?:[.,]\d+)?"
_QUANTITY = re.compile(
    rf"(?<![\w.])(?<![A-Za-z]-)({_FIGURE}(?: ?(?:to|\u2013|±|/) ?{_FIGURE})?) (?=(?:{_UNITS})(?!\w))", re.A
)

FONTS = {
    "atkinson-hyperlegible-next-latin-wght-normal.woff2": (
        "U+0000-00FF,U+0131,U+0152-0153,U+02BB-02BC,U+02C6,U+02DA,U+02DC,U+0304,U+0308,U+0329,U+2000-206F,"
        "U+20AC,U+2122,U+2191,U+2193,U+2212,U+2215,U+FEFF,U+FFFD"
    ),
    "atkinson-hyperlegible-next-latin-ext-wght-normal.woff2": (
        "U+0100-02BA,U+02BD-02C5,U+02C7-02CC,U+02CE-02D7,U+02DD-02FF,U+0304,U+0308,U+0329,U+1D00-1DBF,"
        "U+1E00-1E9F,U+1EF2-1EFF,U+2020,U+20A0-20AB,U+20AD-20C0,U+2113,U+2C60-2C7F,U+A720-A7FF"
    ),
}
"""Font files with the characters each holds (the ranges its maker publishes)."""


def units(text: str) -> str:
    """Return ``text`` with a no-break space between each figure and its unit.

    >>> units("Draw down to 12 N·m, then 25 N·m") == "Draw down to 12\\u00a0N·m, then 25\\u00a0N·m"
    True
    """
    return _QUANTITY.sub(rf"\1{NBSP}", text)


def nobreak(text: str) -> Markup:
    """Return ``text`` escaped, with figures and units, and page and number, held together and dates never broken.

    Nor is a word that begins with a single letter and a hyphen.

    >>> nobreak("sheet 3, 2024-02-01")
    Markup('sheet 3, <span class="nb">2024-02-01</span>')
    >>> nobreak("Press in the O-ring")
    Markup('Press in the <span class="nb">O-ring</span>')
    """
    held = re.sub(r"\b(p\.|rev\.|table|chapter|grade|section) (?=[\dA-Z])", rf"\1{NBSP}", units(text))
    whole = r"\d{4}-\d\d-\d\d|\b[A-Z]-[a-z]+"
    return Markup(re.sub(whole, r'<span class="nb">\g<0></span>', str(escape(held))))


def formula(text: str) -> Markup:
    """Return a formula or its working escaped, with places where a long line may break: before a sign, not a unit.

    >>> formula("a·b/c")
    Markup('a<wbr>·b<wbr>/c')
    """
    return Markup(re.sub(r"(?<=[\w)])(?=[·/](?=[\w(√]))", "<wbr>", str(escape(text))))


def css_string(text: str) -> Markup:
    """Return ``text`` as a CSS string, safe inside a style element.

    >>> print(css_string('P-101 <"A">'))
    "P-101 \\3c \\22 A\\22 \\3e "
    """
    safe = "".join(c if c.isalnum() or c in " .,;:()-_·+'\u2019" else f"\\{ord(c):x} " for c in text)
    return Markup('"' + safe.replace("'", "\\27 ") + '"')


def language_links(languages: Iterable[LanguageLink], file: str, words: Words) -> Markup:
    """Return links to one page in all its languages."""
    current = Markup(' aria-current="true"')
    link = Markup('<a lang="{}" dir="{}" hreflang="{}" href="{}"{}>{}</a>')
    return Markup(" ").join(
        link.format(
            x.code,
            x.direction,
            x.code,
            named_for(file, x.suffix),
            current if x.code == words.language else "",
            x.name,
        )
        for x in languages
    )


@lru_cache
def environment() -> Environment:
    """Return the one Jinja2 environment: undefined names are errors, every text is escaped."""
    env = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        undefined=StrictUndefined,
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    env.filters["units"] = units
    env.filters["page_in"] = lambda link, file: named_for(file, link.suffix)
    env.globals["english"] = load_words()
    env.globals["language_links"] = language_links
    env.filters["nobreak"] = nobreak
    env.filters["formula"] = formula
    env.filters["grouped"] = grouped
    env.filters["css_string"] = css_string
    # what is typed becomes words in the page's own language: ``value_in_words(v, w)``
    makers = (
        card_sheets, class_notes, damage_tiles, doubt_in_words, group_in_words, instrument_in_words, other_unit,
        paper_contents, qr_code, record_texts, rule_in_words, taken_in, use_in_words, value_in_words, value_title,
        where_to_look,
    )  # fmt: skip
    env.globals.update({make.__name__: make for make in makers})
    return env


ONE_LANGUAGE: Mapping[str, Any] = {"languages": (), "suffix": "", "here": ""}
"""What a page knows of languages where it is not one of several."""


def page_text(template: str, **context: Any) -> str:
    """Return the text of one page, with its content-security policy.

    Raises:
        jinja2.UndefinedError: if a template names something that ``context`` does not hold.
        MissingWord: if the catalogue lacks a text.
    """
    page = (
        environment()
        .get_template(template)
        .render(version=version("benchleaf"), **{**ONE_LANGUAGE, **context})
    )
    return with_policy(drawn_once(linked_for(in_english(page), context.get("suffix", ""))))


def write_assets(folder: Path) -> None:
    """Write styles, scripts and fonts into ``folder``/assets.

    The fonts go into a style sheet as data, because some browsers take no font from a file beside a local page.
    """
    to = folder / "assets"
    to.mkdir(parents=True, exist_ok=True)
    for source in sorted(ASSETS.iterdir()):
        if source.suffix in {".css", ".js"}:
            (to / source.name).write_bytes(source.read_bytes())
    (to / "record-form.js").write_text(form_script(), "utf-8", newline="\n")
    faces = []
    for name, characters in FONTS.items():
        data = base64.b64encode((ASSETS / "fonts" / name).read_bytes()).decode("ascii")
        faces.append(
            '@font-face{font-family:"Benchleaf Sans";font-weight:200 800;font-display:block;'
            f"src:url(data:font/woff2;base64,{data}) format('woff2');unicode-range:{characters}}}"
        )
    note = "/* Atkinson Hyperlegible Next, SIL Open Font License 1.1, see font-licence.txt */\n"
    (to / "fonts.css").write_text(note + "\n".join(faces) + "\n", "utf-8")
    (to / "font-licence.txt").write_bytes((ASSETS / "fonts" / "OFL.txt").read_bytes())


@dataclass(frozen=True)
class LanguageLink:
    """A language in which a page is there too."""

    code: str
    name: str
    direction: str
    suffix: str
    """What stands before the ending of its pages' names."""


@dataclass(frozen=True)
class Setting:
    """What all pages of one library share."""

    words: Words
    plant: str
    invented: bool
    date: str
    title: str = ""
    """Title of the library; empty: the words' own."""
    id: str = ""
    """What the owner calls the library; empty: the plant's name tells it from others."""
    address: str = ""
    """Where a web server shows it, with a slash at its end; empty: nowhere that is known."""
    languages: tuple[str, ...] = ()
    """Codes of all languages of the library, the main one first; empty: it has one."""
    look: PlantLook = NO_LOOK
    """Logo and colour of the plant."""
    contact: PlantContact | None = None
    """Whom a reader asks."""

    @property
    def library_id(self) -> str:
        """What tells this library's readings and ticks from another's in one browser: the same in every build of it."""
        return hashlib.sha256((self.id or self.plant).encode()).hexdigest()[:12]

    @property
    def suffix(self) -> str:
        """What stands before the ending of the names of its pages: nothing in the main language."""
        return suffix_of(self.words.language, self.languages[0]) if self.languages else ""

    def context(self) -> Mapping[str, Any]:
        """Return the names every template may use."""
        several = self.languages if len(self.languages) > 1 else ()
        return {
            "suffix": self.suffix,
            "languages": tuple(
                LanguageLink(code, language_name(code), direction_of(code), suffix_of(code, several[0]))
                for code in several
            ),
            "w": self.words,
            "plant": self.plant,
            "booklet_demo": self.invented,
            "date": self.words.day(self.date),
            "library_id": self.library_id,
            "address": self.address,
            "look": self.look,
            "contact": self.contact,
            "library_title": self.words.say(self.title) if self.title else self.words("library.title"),
        }


def write_booklet(
    booklet: Booklet,
    folder: Path,
    setting: Setting,
    library_href: str = "",
    part: BookletPart | None = None,
) -> None:
    """Write all pages of ``booklet`` with their assets into ``folder``; the pictures are put there by the caller.

    Where it holds one ``part`` alone, only the page for paper is written.

    Raises:
        OSError: if the folder cannot be written.
    """
    folder.mkdir(parents=True, exist_ok=True)
    if not setting.suffix:
        write_assets(folder)
    pages = booklet.page_list(setting.words)
    files = {p.kind: p.file for p in pages}
    for page in pages:
        if part is not None and page.kind != "paper":
            continue
        chapter = next((c for c in booklet.chapters if c.id == page.chapter), None)
        text = page_text(
            f"{page.kind}.html.j2",
            **setting.context(),
            booklet=booklet,
            pages=pages,
            page=page,
            chapter=chapter,
            part=part,
            library_href=library_href,
            record_href=files.get("record", ""),
            here=page.file,
        )
        (folder / named_for(page.file, setting.suffix)).write_text(text, "utf-8", newline="\n")
    if booklet.proof and booklet.proof.asked.count and part is None:
        script = data_script("benchleafQuestions", booklet.proof.asked.data)
        file = folder / named_for(QUESTIONS, setting.suffix)
        file.write_text(linked_for(script, setting.suffix), "utf-8", newline="\n")
