"""What a key means is told from the models, for every key of every file; an unknown one with the likely ones."""

from __future__ import annotations

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.size import make_size, measured_fields, override_fields
from benchleaf.sequences.files.yaml_files import walk
from benchleaf.sequences.fleet.schemas import SCHEMAS
from benchleaf.sequences.steps.sequence_file import load_sequence
from benchleaf.sequences.values.value_names import VALUE_NAMES
from benchleaf.site.command import main
from benchleaf.site.extras.examples import example_files
from benchleaf.site.extras.explaining import FILES, explained, keys, known_words


def test_every_key_of_every_model_is_told_with_what_it_is() -> None:
    assert set(FILES) == set(SCHEMAS) - {"schema_record.json"}
    names = {k.name for k in keys()}
    assert len(names) > 200
    for model in (SCHEMAS[name] for name in FILES):
        assert {f.alias or n for n, f in model.model_fields.items()} <= names
    for key in keys():
        assert key.node.get("description") or "const" in key.node, key
    for name in names:
        lines = explained(name)
        assert lines[0].startswith(f"{name} (")
        assert len(lines[1].strip()) > 8, lines


def test_a_dimension_has_the_range_that_the_check_allows() -> None:
    for name in override_fields():
        text = "\n".join(explained(name))
        assert override_fields()[name][1:] in text
        assert "Left out, with a shaft centre distance C of 80 mm:" in text
    assert "16 mm. Allowed there: 9.6 to 32 mm." in "\n".join(explained("wall_mm"))
    for name, words in measured_fields().items():
        assert words[1:] in "\n".join(explained(name))
    example = dict(line.split(": ") for n in measured_fields() for line in [explained(n)[-1].strip()[9:]])
    assert make_size("x", {k: float(v) for k, v in example.items()})


def test_options_and_choices_are_told_with_their_default() -> None:
    for name, choice in vars(Options()).items():
        text = "\n".join(explained(name))
        assert f"left out: {str(choice).lower() if isinstance(choice, bool) else choice}" in text
    kinds = "\n".join(explained("kind"))
    assert "Allowed: note, photo, act, step, caution, sharper, change, leave_out." in kinds
    for name in VALUE_NAMES:
        assert "Where to find it: " in explained(name)[1]


def test_examples_are_those_of_files_that_come_along() -> None:
    assert len({kind for kind, _ in example_files()}) == 4
    assert explained("heads_table")[1].startswith("  CSV or XLSX file")
    said = next(
        line for line in explained("clearance_code") + explained("service") if "Example: service" in line
    )
    services = {v for _, data in example_files() for path, v in walk(data) if path and path[-1] == "service"}
    assert said.split(": ", 2)[2] in services


def test_steps_messages_and_sequences_are_told() -> None:
    step = load_sequence("assembly").steps[1]
    told = explained(step.id)
    assert f"  title: {step.title[0].text}" in told
    assert all(f"  acts: {a.text}" in told for a in step.acts)
    assert explained("lock_out")[1].strip().startswith("DANGER: ")
    listed = explained("assembly")
    ids = [s.id for s in load_sequence("assembly").steps]
    assert [line.split()[0] for line in listed[-len(ids) :]] == ids


def test_an_unknown_word_is_told_with_likely_ones(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "ferrul_mm"]) == 2
    assert "Did you mean: ferrule_mm" in capsys.readouterr().err
    assert main(["explain", "zzzzzzzz"]) == 2
    assert "benchleaf explain lists every key." in capsys.readouterr().err


def test_without_a_word_all_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain"]) == 0
    out = capsys.readouterr().out
    assert out == "\n".join(known_words()) + "\n"
    listed = set(out.replace(",", " ").split())
    assert {k.name for k in keys()} | set(override_fields()) | set(VALUE_NAMES) <= listed
