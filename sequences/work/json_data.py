"""Dataclasses as JSON and back, by pydantic's adapters: strict both ways, and equal values give equal bytes."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any, Literal, TypeVar

from pydantic import PlainSerializer, TypeAdapter
from pydantic_core import to_json

T = TypeVar("T")

SortedNames = Annotated[frozenset[str], PlainSerializer(sorted, return_type=list[str])]
"""A set of names that is written sorted: a set's own order differs from process to process."""


_adapters: dict[type, TypeAdapter[Any]] = {}
"""Made once a process: it takes longer than reading a file."""


def _adapter(kind: type[T]) -> TypeAdapter[T]:
    if kind in _adapters:
        return _adapters[kind]
    adapter = TypeAdapter(kind)
    for schema in _schemas(adapter.core_schema):
        if schema.get("type") in ("set", "frozenset") and "serialization" not in schema:
            raise TypeError(f"{kind.__name__} holds a set whose order differs from process to process")
    _adapters[kind] = adapter
    return adapter


def _schemas(node: Any) -> Iterator[dict[str, Any]]:
    if isinstance(node, dict):
        yield node
        for inner in node.values():
            yield from _schemas(inner)
    elif isinstance(node, (list, tuple)):
        for inner in node:
            yield from _schemas(inner)


def json_bytes(value: object) -> bytes:
    """Return a dataclass as JSON in one line, UTF-8.

    Raises:
        PydanticSerializationError: if a field does not hold what its annotation says.
        TypeError: if a field is a set that is no :data:`SortedNames`.
        ValueError: if a number in it is infinite or none: JSON has no word for it, and would hold ``null``.
    """
    if _plain(value, "null") != _plain(value, "constants"):
        raise ValueError(f"a number in this {type(value).__name__} is infinite, or none")
    return _adapter(type(value)).dump_json(value, warnings="error")


def _plain(value: object, inf_nan_mode: Literal["null", "constants"]) -> bytes:
    return to_json(value, inf_nan_mode=inf_nan_mode, serialize_unknown=True)


def from_json(kind: type[T], content: bytes) -> T:
    """Return the ``kind`` that :func:`json_bytes` wrote.

    Raises:
        ValueError: if it is no JSON, a field is missing, is unknown, or is not of its type.
    """
    return _adapter(kind).validate_json(content, strict=True, extra="forbid")
