"""Conditions on a head's options, as the files write them: ``when: {seal: double, cover: [plain, vented]}``.

API::

    When.holds(options) -> bool          # every option named has one of its values, and none of ``not``
    OPTION_NAMES, option_values(name)
"""

from __future__ import annotations

import typing
from dataclasses import fields
from functools import lru_cache
from itertools import product
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import Field, create_model

from ...geometry.dimensions.options import Options
from ..files.file_models import ONE_OR_MANY, FileModel

_HINTS = typing.get_type_hints(Options)
OPTION_NAMES: tuple[str, ...] = tuple(f.name for f in fields(Options))


@lru_cache
def option_values(name: str) -> tuple[Any, ...]:
    """Return the values that the option ``name`` can take.

    >>> option_values("seal")
    ('single', 'double')
    """
    return (True, False) if _HINTS[name] is bool else typing.get_args(_HINTS[name])


def _choice_fields() -> dict[str, Any]:
    """Return a field for every option: one or several of its values."""
    return {
        name: (
            Annotated[list[_HINTS[name]], ONE_OR_MANY] | None,  # type: ignore[valid-type]
            Field(None, description=f"one or several values of {name}"),
        )
        for name in OPTION_NAMES
    }


if TYPE_CHECKING:
    Choice = FileModel
else:
    Choice = create_model("Choice", __base__=FileModel, **_choice_fields())


class When(Choice):
    """A condition: all options named must have (one of) the values named, and not all of those under ``not``."""

    unless: Choice | None = Field(None, alias="not", description="does not hold where all of this holds")

    def holds(self, options: Options) -> bool:
        """Return whether the condition holds for ``options``."""
        return _fits(self, options) and not (self.unless is not None and _fits(self.unless, options))


def _fits(choice: Any, options: Options) -> bool:
    chosen = ((name, getattr(choice, name)) for name in OPTION_NAMES)
    return all(values is None or getattr(options, name) in values for name, values in chosen)


def belongs(when: When | None, options: Options) -> bool:
    """Return whether what carries this condition belongs to a head with ``options``."""
    return when is None or when.holds(options)


def all_options(*names: str) -> list[Options]:
    """Return every combination of the options ``names`` (of all options where none is named).

    >>> len(all_options("seal", "cover"))
    6
    """
    names = names or OPTION_NAMES
    return [
        Options(**dict(zip(names, values, strict=True))) for values in product(*map(option_values, names))
    ]
