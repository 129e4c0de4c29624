"""How a language writes figures and days, counts, and which way it runs; all from Babel's data (CLDR).

API::

    locale_of("de") -> Locale                # that of English for a language that Babel does not know
    language_name("de") -> "Deutsch"
    figures_in("12.5 mm", locale) -> "12,5 mm"
    day_in("2031-03-14", pattern, locale)
    plural_of(count, locale) -> "one" | "few" | ... | "other"
"""

from __future__ import annotations

import re
from datetime import date
from functools import lru_cache

from babel import Locale, UnknownLocaleError
from babel.dates import format_date
from babel.numbers import get_decimal_symbol

_POINT = re.compile(
    r"(?<![\w.,:/-])([-+−±]?\d+)\.(\d+)(?![\d.:A-Za-z_]|-\d)"
    r"|(?<=[-\u2013×·/(√])(\d+)\.(\d+)(?![\d.:A-Za-z_]|-\d)"
)
FIGURE = re.compile(r"[-+−±]?\d+(?:\.\d+)?(?:e[-+]?\d+)?(?:[ \u00a0]\S{1,8})?")
"""A field that is one figure, with its unit or without, and nothing else."""


@lru_cache
def locale_of(language: str) -> Locale:
    """Return what Babel knows of a language; of one that it does not know, what it knows of English."""
    try:
        return Locale.parse(language.replace("-", "_"))
    except (UnknownLocaleError, ValueError):
        return Locale("en")


def is_language(code: str) -> bool:
    """Return whether Babel knows a language by this code (``de``, ``pt-BR``)."""
    try:
        Locale.parse(code.replace("-", "_"))
    except (UnknownLocaleError, ValueError, TypeError):
        return False
    return re.fullmatch(r"[a-z]{2,3}(-[A-Z][A-Za-z]+)?(-[A-Z]{2})?", code) is not None


def language_name(code: str) -> str:
    """Return what a language calls itself, capital first; the code where Babel knows none.

    >>> language_name("de"), language_name("es"), language_name("xx")
    ('Deutsch', 'Español', 'xx')
    """
    if not is_language(code):
        return code
    name = locale_of(code).get_display_name() or code
    return name[:1].upper() + name[1:]


def english_name(code: str) -> str:
    """Return what English calls a language."""
    return (locale_of(code).get_display_name("en") or code) if is_language(code) else code


def direction_of(language: str) -> str:
    """Return ``rtl`` for a language that is written from right to left, else ``ltr``."""
    return str(locale_of(language).text_direction)


def figures_in(text: str, locale: Locale) -> str:
    """Return a text of figures and units with the decimal sign of ``locale``; digits stay as they were worked out.

    Numbers of more than two parts (1.10.2) and days stay as they are.

    >>> figures_in("0.10 mm (0.004 in), -1.5 bar, 20.0², 1.2.3, 2031-03-14", Locale("de"))
    '0,10 mm (0,004 in), -1,5 bar, 20,0², 1.2.3, 2031-03-14'
    """
    sign = get_decimal_symbol(locale)
    if sign == ".":
        return text
    return _POINT.sub(lambda m: f"{m[1] or m[3]}{sign}{m[2] or m[4]}", text)


def day_in(day: str, pattern: str, locale: Locale) -> str:
    """Return a day (year-month-day) by a pattern of CLDR; what is no day stays as it is.

    >>> day_in("2031-03-14", "d. MMMM y", Locale("de")), day_in("spring", "y-MM-dd", Locale("en"))
    ('14. März 2031', 'spring')
    """
    try:
        found = date.fromisoformat(day)
    except ValueError:
        return day
    return format_date(found, pattern, locale=locale)


def plural_forms(language: str) -> tuple[str, ...]:
    """Return the forms of the plural that whole numbers up to 200 take in a language, beside those of English.

    >>> plural_forms("es"), plural_forms("pl")
    ((), ('few', 'many'))
    """
    return tuple(sorted({plural_of(n, locale_of(language)) for n in range(201)} - {"one", "other"}))


def plural_of(count: float, locale: Locale) -> str:
    """Return which of a language's forms goes with a number."""
    return str(locale.plural_form(count))
