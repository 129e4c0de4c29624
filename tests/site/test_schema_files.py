"""The published schemas: current, with the catalogue's words for each value."""

from __future__ import annotations

import pytest
from benchleaf.sequences.fleet.schemas import FOLDER, SCHEMAS, schema_text
from benchleaf.sequences.values.value_names import VALUE_NAMES
from benchleaf.site.extras.schema_files import descriptions, value_descriptions
from benchleaf.site.words.catalogue import load_words


@pytest.mark.parametrize("name", SCHEMAS)
def test_the_published_file_is_current(name: str) -> None:
    wanted = schema_text(name, descriptions(load_words("en")))
    assert (FOLDER / name).read_text("utf-8") == wanted, "run python -m benchleaf.site.extras.schema_files"


def test_every_value_is_described() -> None:
    told = value_descriptions(load_words("en"))
    assert set(told) == set(VALUE_NAMES)
    assert told["anti_seize"] == (
        "Anti-seize for threads; look in: the site's approved lubricant list and the safety data sheet; "
        "ask the lubrication planner"
    )
