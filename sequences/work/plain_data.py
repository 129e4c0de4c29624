"""Dataclasses as plain data for JSON, and back."""

from __future__ import annotations

import types
import typing
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any, cast


def to_plain(value: Any) -> Any:
    """Return ``value`` as dicts, lists, text and numbers; sets come sorted.

    Raises:
        TypeError: for what has no plain form.
    """
    if value is None or isinstance(value, (str, bool, int)):
        return value
    if isinstance(value, float):
        return float(value)
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: to_plain(getattr(value, f.name)) for f in fields(value) if f.init}
    if isinstance(value, Mapping):
        return {str(k): to_plain(v) for k, v in value.items()}
    if isinstance(value, (frozenset, set)):
        return sorted(to_plain(v) for v in value)
    if isinstance(value, (tuple, list)):
        return [to_plain(v) for v in value]
    if hasattr(value, "item"):
        return value.item()
    raise TypeError(f"no plain form for {type(value).__name__}")


def from_plain(kind: Any, value: Any) -> Any:
    """Return plain data as the annotated type ``kind``.

    Raises:
        TypeError, KeyError, ValueError: if it does not fit.
    """
    origin, args = typing.get_origin(kind), typing.get_args(kind)
    if origin in (typing.Union, types.UnionType):
        if value is None:
            return None
        return from_plain(next(a for a in args if a is not type(None)), value)
    if origin is typing.Literal:
        if value not in args:
            raise ValueError(f"{value!r} is none of {args}")
        return value
    if origin is tuple:
        if len(args) == 2 and args[1] is Ellipsis:
            return tuple(from_plain(args[0], v) for v in value)
        return tuple(from_plain(a, v) for a, v in zip(args, value, strict=True))
    if origin is list:
        return [from_plain(args[0], v) for v in value]
    if origin is frozenset:
        return frozenset(from_plain(args[0], v) for v in value)
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return {k: from_plain(args[1], v) for k, v in value.items()}
    if is_dataclass(kind):
        hints = _hints(cast(type, kind))
        return kind(**{name: from_plain(hints[name], v) for name, v in value.items()})  # type: ignore[operator]
    if kind is float and isinstance(value, (int, float)):
        return float(value)
    if isinstance(kind, type) and not isinstance(value, kind):
        raise TypeError(f"{value!r} is no {kind.__name__}")
    return value


@cache
def _hints(kind: Any) -> dict[str, Any]:
    return typing.get_type_hints(kind)
