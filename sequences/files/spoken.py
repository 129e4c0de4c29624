"""Which fields of the file models hold text that people read, and the same model with that text in other words.

API::

    Spoken                                   # field type: Text that people read, so that translators get it
    spoken_texts(model) -> (place, text) ... # all of them, with their places by the names of things
    with_texts(model, say) -> model          # each as ``say`` gives it
"""

from __future__ import annotations

import typing
from collections.abc import Callable, Iterator
from typing import Annotated, Any, TypeVar

from pydantic.fields import FieldInfo

from .file_models import FileModel, Text

Place = tuple[str, ...]

M = TypeVar("M", bound=FileModel)


class _ForReaders:
    """Marks a text as one that people read: names of parts, steps and documents are not."""


FOR_READERS = _ForReaders()
Spoken = Annotated[Text, FOR_READERS]
"""Text that people read."""


def is_spoken(info: FieldInfo) -> bool:
    """Return whether a field of a model holds text that people read."""
    return FOR_READERS in info.metadata or _marked(info.annotation)


def _marked(annotation: Any) -> bool:
    if FOR_READERS in getattr(annotation, "__metadata__", ()):
        return True
    return any(_marked(inner) for inner in typing.get_args(annotation))


def spoken_texts(model: FileModel, at: Place = ()) -> Iterator[tuple[Place, str]]:
    """Yield every text of a file that people read, in the order of the file's form.

    Its place names things by their ids where they have some, so that it stays where others come before it.
    """
    for name, info in type(model).model_fields.items():
        yield from _texts(getattr(model, name), is_spoken(info), (*at, name))


def _texts(value: Any, spoken: bool, at: Place) -> Iterator[tuple[Place, str]]:
    if isinstance(value, FileModel):
        yield from spoken_texts(value, at)
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield from _texts(inner, spoken, (*at, str(key)))
    elif isinstance(value, (list, tuple)):
        for n, inner in enumerate(value, 1):
            yield from _texts(inner, spoken, (*at, str(getattr(inner, "id", n))))
    elif spoken and isinstance(value, str) and value:
        yield at, value


def with_texts(model: M, say: Callable[[str], str]) -> M:
    """Return a model in which each text that people read is as ``say`` gives it; all else is the very same."""
    changed = {}
    for name, info in type(model).model_fields.items():
        was = getattr(model, name)
        now = _said(was, is_spoken(info), say)
        if now is not was:
            changed[name] = now
    return model.model_copy(update=changed) if changed else model


def _said(value: Any, spoken: bool, say: Callable[[str], str]) -> Any:
    if isinstance(value, FileModel):
        return with_texts(value, say)
    if isinstance(value, dict):
        found = {key: _said(inner, spoken, say) for key, inner in value.items()}
        return found if any(found[k] is not value[k] for k in value) else value
    if isinstance(value, (list, tuple)):
        new = [_said(inner, spoken, say) for inner in value]
        return type(value)(new) if any(a is not b for a, b in zip(new, value, strict=True)) else value
    return say(value) if spoken and isinstance(value, str) and value else value
