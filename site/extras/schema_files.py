"""The published JSON Schemas with the catalogue's words for each value.

Run ``python -m benchleaf.site.extras.schema_files`` after a change of the models or of a value's words; a test fails
while a file is out of date.
"""

from __future__ import annotations

from ...geometry.dimensions.options import Options
from ...sequences.fleet.schemas import write_schemas
from ...sequences.steps.conditions import OPTION_NAMES
from ...sequences.values.value_names import VALUE_NAMES
from ..words.catalogue import Words, load_words
from ..words.value_words import value_title, where_to_look


def value_descriptions(words: Words) -> dict[str, str]:
    """Return value name to what editors show of it: what it is, and where to look for it."""
    return {
        name: words("schema.value", title=value_title(name, words), where=where_to_look(name, words))
        for name in VALUE_NAMES
    }


def descriptions(words: Words) -> dict[str, str]:
    """Return what editors show of each value and of each option of a head, by name."""
    options = {
        name: words("schema.option", title=words(f"options.{name}"), choice=_choice(getattr(Options(), name)))
        for name in OPTION_NAMES
    }
    return {**value_descriptions(words), **options}


def _choice(choice: str | bool) -> str:
    return str(choice).lower() if isinstance(choice, bool) else choice


if __name__ == "__main__":
    write_schemas(descriptions(load_words()))
