"""Field types of people's files that keep what was written: figures with their digits, days as year-month-day."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Annotated, Any
from urllib.parse import urlsplit

from pydantic import BeforeValidator, PlainValidator, WithJsonSchema

from .faults import shown
from .file_models import refuse


def _figure(value: Any) -> Decimal:
    """Return a number with the digits that were written."""
    written = getattr(value, "written", None)
    if isinstance(value, bool) or not isinstance(value, (int, float, Decimal)):
        text = str(value).strip() if isinstance(value, str) else ""
        number = re.match(r"[-+]?\d+(?:[.,]\d+)?", text)
        fix = f"write {number[0].replace(',', '.')} without unit or quotes" if number else "write a number"
        raise refuse(shown(value), "a number", fix)
    try:
        return Decimal(written or repr(value))
    except InvalidOperation:
        return Decimal(int(value))


def _figure_or_text(value: Any) -> Decimal | str:
    if isinstance(value, str):
        text = value.strip()
        if text:
            return text
    elif isinstance(value, (int, float, Decimal)) and not isinstance(value, bool):
        return _figure(value)
    raise refuse(
        shown(value), "a number, or the text of a value in words", "leave the whole value out for a blank"
    )


def _iso_date(value: Any) -> str:
    text = str(getattr(value, "written", value)).strip()
    try:
        if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", text):
            raise ValueError(text)
        return date.fromisoformat(text).isoformat()
    except ValueError:
        allowed = "a date as year-month-day, such as 2031-02-28"
        raise refuse(shown(value), allowed, _date_fix(text)) from None


def _date_fix(text: str) -> str:
    numbers = [int(n) for n in re.findall(r"\d+", text)]
    if len(numbers) == 3:
        year, rest = max(numbers), [n for n in numbers if n != max(numbers)]
        if year > 1900 and len(rest) == 2:
            first, second = rest
            if first == numbers[0] and first <= 12 and second <= 12:
                return "write the year first, then month and day"
            month, day = (second, first) if first > 12 or numbers[0] != year else (first, second)
            if 1 <= month <= 12 and 1 <= day <= 28:
                return f"write {year}-{month:02d}-{day:02d}"
    return ""


def _web_folder(value: Any) -> str:
    """Return the http(s) address of a folder, with a slash at its end."""
    text = str(getattr(value, "written", value)).strip()
    allowed = "an http or https address of a folder, such as https://training.example/pumps/"
    try:
        parts = urlsplit(text)
        host, port = parts.hostname or "", parts.port
    except ValueError:
        raise refuse(shown(value), allowed, "write the address as a browser shows it") from None
    if parts.scheme not in ("http", "https"):
        bare = re.fullmatch(r"[A-Za-z0-9-]+(\.[A-Za-z0-9-]+)+(:\d+)?(/[^\s\\?#\"<>]*)?", text)
        raise refuse(shown(value), allowed, f"write https://{text}" if bare else "")
    if parts.username is not None:
        raise refuse(shown(value), allowed, "leave the user's name and password out")
    if parts.query or parts.fragment or text.endswith(("?", "#")):
        raise refuse(shown(value), allowed, f"write {re.split('[?#]', text)[0]}")
    if not re.fullmatch(r"[A-Za-z0-9.-]*[A-Za-z0-9]|[0-9a-f:.]+", host) or port == 0:
        raise refuse(shown(value), allowed, "")
    if not re.fullmatch(r"[!$%&'()*+,./:;=@\[\]~_A-Za-z0-9-]+", text) or re.search(
        r"%(?![0-9A-Fa-f]{2})", text
    ):
        raise refuse(
            shown(value), allowed, "write other signs than these as % and two digits, as a browser does"
        )
    if (last := parts.path.rpartition("/")[2]).casefold().endswith((".html", ".htm")):
        raise refuse(shown(value), allowed, f"write {text.removesuffix(last)}")
    return text if text.endswith("/") else f"{text}/"


Figure = Annotated[Decimal, PlainValidator(_figure), WithJsonSchema({"type": "number"})]
FigureOrText = Annotated[Any, PlainValidator(_figure_or_text), WithJsonSchema({"type": ["number", "string"]})]
IsoDate = Annotated[
    str, BeforeValidator(_iso_date), WithJsonSchema({"type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}$"})
]
WebFolder = Annotated[
    str, BeforeValidator(_web_folder), WithJsonSchema({"type": "string", "pattern": r"^https?://[^\s?#]+$"})
]
"""The address of a folder that a web server shows; it ends with a slash."""
