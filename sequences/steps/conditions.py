"""Conditions on a head's options, as the files write them: ``when: {seal: double, cover: [plain, relief]}``.

API::

    When.holds(options) -> bool          # every option named has one of its values, and none of ``not``
    OPTION_NAMES, option_values(name), options_in_words(options)
"""

from __future__ import annotations

import typing
from dataclasses import fields
from functools import cached_property, lru_cache
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

    @cached_property
    def _named(self) -> tuple[tuple[tuple[str, Any], ...], tuple[tuple[str, Any], ...] | None]:
        """The options that it names with their values, and those under ``not``: a plan asks thousands of times."""
        return _named_in(self), None if self.unless is None else _named_in(self.unless)

    def holds(self, options: Options) -> bool:
        """Return whether the condition holds for ``options``."""
        asked, unless = self._named
        return _fits(asked, options) and not (unless is not None and _fits(unless, options))


def _named_in(choice: Any) -> tuple[tuple[str, Any], ...]:
    chosen = ((name, getattr(choice, name)) for name in OPTION_NAMES)
    return tuple((name, values) for name, values in chosen if values is not None)


def _fits(asked: tuple[tuple[str, Any], ...], options: Options) -> bool:
    return all(getattr(options, name) in values for name, values in asked)


def belongs(when: When | None, options: Options) -> bool:
    """Return whether what carries this condition belongs to a head with ``options``."""
    return when is None or when.holds(options)


def options_in_words(options: Options) -> str:
    """Return what tells ``options`` from those of the base head, as a fleet file has it; empty where nothing does.

    >>> options_in_words(Options(seal="double", cleaning_in_place=True))
    'seal double, cleaning_in_place true'
    """
    plain = Options()
    differ = (n for n in OPTION_NAMES if getattr(options, n) != getattr(plain, n))
    return ", ".join(f"{n} {str(getattr(options, n)).replace('True', 'true')}" for n in differ)


def all_options(*names: str) -> list[Options]:
    """Return every combination of the options ``names`` (of all options where none is named).

    >>> len(all_options("seal", "cover"))
    6
    """
    names = names or OPTION_NAMES
    return [
        Options(**dict(zip(names, values, strict=True))) for values in product(*map(option_values, names))
    ]
