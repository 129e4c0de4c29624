"""What a key of the files means, its range or choices, and an example: all from the models that check the files.

API::

    explained(word) -> list[str]         # lines for a terminal; UserFault with likely words where nothing is called so
    known_words() -> list[str]           # lines that list every key, file by file
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from ...geometry.dimensions.measured import MEASURED
from ...geometry.dimensions.proportions.rules import unit_of
from ...geometry.dimensions.size import PROPORTIONS, example_measures, make_size
from ...sequences.files.faults import likely
from ...sequences.files.yaml_files import walk
from ...sequences.fleet.schemas import SCHEMAS, make_schema
from ...sequences.steps.cautions import load_cautions
from ...sequences.steps.sequence_file import CHECKLISTS, SHIPPED, Sequence, load_sequence
from ...sequences.values.value_names import VALUE_NAMES
from ..build.user_faults import UserFault
from ..words.catalogue import load_words
from ..words.value_words import value_title, where_to_look
from .examples import example_files
from .schema_files import descriptions

FILES = {
    "schema_fleet.json": "fleet file",
    "schema_sequence.json": "sequence file",
    "schema_cautions.json": "cautions file",
    "schema_additions.json": "file of additions",
    "schema_assembly.json": "file of an assembly of your own",
}
"""Schema to what its file is called; records are written by the record sheet alone."""
EXAMPLE_C_MM = 80.0
"""Centre distance of the size for which a dimension's usual value and range are told."""
MOST_LIKELY = 5
MOST_EXAMPLE = 300
"""Characters of an example; a longer one is not shown."""


@dataclass(frozen=True)
class KeyOfFile:
    """One key in one kind of file."""

    name: str
    file: str
    below: str
    """The mapping that it belongs to, in words; empty: the file itself."""
    node: Mapping[str, Any]
    needed: bool


def explained(word: str) -> list[str]:
    """Return what a word of the files means: a key, a dimension, a value, a step, a safety message or a sequence.

    Raises:
        UserFault: if nothing is called so, with the likely words.
    """
    name = word.strip()
    lines: list[str] = []
    if name in MEASURED or name in PROPORTIONS:
        lines += _dimension_lines(name)
    elif name in VALUE_NAMES:
        lines += _value_lines(name)
    else:
        for said, files in _told_once(name).items():
            lines += [f"{name} ({'; '.join(files)})", *said, ""]
        lines += _name_lines(name)
        if name in (*SHIPPED, *CHECKLISTS):
            lines += _sequence_lines(load_sequence(name))
    if lines:
        return lines[:-1] if lines[-1] == "" else lines
    raise UserFault("\n".join([f"Nothing in the files is called '{word}'.", *_likely(name)]))


def known_words() -> list[str]:
    """Return every key, file by file, then dimensions, values and sequences."""
    lines = ["benchleaf explain KEY tells what one of these means.", ""]
    for file in FILES.values():
        lines += _listed(
            f"{file}:", sorted({k.name for k in keys() if k.file == file and k.name not in _OWN_LISTS})
        )
    lines += _listed("dimensions of a size, measured:", MEASURED)
    lines += _listed("dimensions of a size, under overrides:", PROPORTIONS)
    lines += _listed("values:", VALUE_NAMES)
    return [*lines, *_listed("sequences, with the ids of their steps:", (*SHIPPED, *CHECKLISTS))][:-1]


_OWN_LISTS = frozenset((*MEASURED, *PROPORTIONS, *VALUE_NAMES))


def _listed(title: str, names: Any) -> list[str]:
    import textwrap

    return [title, *textwrap.wrap(", ".join(names), 98, initial_indent="  ", subsequent_indent="  "), ""]


@cache
def keys() -> tuple[KeyOfFile, ...]:
    """Return every key of every file that people write."""
    described = descriptions(load_words())
    found: list[KeyOfFile] = []
    for name, file in FILES.items():
        schema = make_schema(SCHEMAS[name], described)
        found += _keys_in(schema, file, "")
        for model, node in schema.get("$defs", {}).items():
            found += _keys_in(node, file, model)
    return tuple(found)


def _keys_in(node: Mapping[str, Any], file: str, model: str) -> Iterator[KeyOfFile]:
    for inner in (node, *node.get("anyOf", ())):
        below = str(node.get("description", "")).split("\n")[0] if model else ""
        for name, key in inner.get("properties", {}).items():
            yield KeyOfFile(name, file, below, key, name in inner.get("required", ()))


def _told_once(name: str) -> dict[tuple[str, ...], list[str]]:
    """Return what is said of a key, with the files of which it is said: most keys mean the same in all of them."""
    found: dict[tuple[str, ...], list[str]] = {}
    for key in (k for k in keys() if k.name == name):
        below = key.below.split(":")[0].split(".")[0]
        where = f"{key.file}, in: {below}" if below else key.file
        files = found.setdefault(tuple(_key_lines(key)), [])
        if not any(w == key.file or w.startswith(f"{key.file},") for w in files):
            files.append(where)
    return found


def _key_lines(key: KeyOfFile) -> list[str]:
    lines = [f"  {_sentence(str(key.node.get('description', '')))}"]
    if allowed := _allowed(key.node):
        lines.append(f"  Allowed: {allowed}.")
    if key.needed:
        lines.append("  It has to be there.")
    elif key.node.get("default") not in (None, [], {}, ""):
        lines.append(f"  Left out: {_shown(key.node['default'])}.")
    if example := _example(key):
        lines.append(f"  Example: {example}")
    return lines


def _allowed(node: Mapping[str, Any]) -> str:
    """Return the choices or the range that a schema gives a value, in words."""
    choices: list[str] = []
    limits: list[str] = []
    names = {
        "minimum": "at least",
        "exclusiveMinimum": "more than",
        "maximum": "at most",
        "exclusiveMaximum": "less than",
    }
    for _, inner in walk(dict(node)):
        if isinstance(inner, dict) and "properties" not in inner:
            choices += [_shown(c) for c in inner.get("enum", ())]
            choices += [_shown(inner["const"])] if "const" in inner else []
            limits += [
                f"{said} {inner[k]:g}" for k, said in names.items() if isinstance(inner.get(k), int | float)
            ]
            if inner.get("type") == "boolean":
                choices += ["true", "false"]
    return ", ".join(dict.fromkeys((*choices, *limits)))


def _shown(value: object) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}{'' if text.endswith('.') else '.'}"


def _example(key: KeyOfFile) -> str:
    """Return how a shipped file writes a key, on one line; empty where none does, or at length."""
    given = key.node.get("examples")
    if given:
        return f"{key.name}: {_flow(given[0])}"
    for _, data in sorted(example_files(), key=lambda f: f[0] != key.file):
        for path, value in walk(data):
            if path and path[-1] == key.name and value not in (None, [], {}):
                text = f"{key.name}: {_flow(value)}"
                if len(text) <= MOST_EXAMPLE:
                    return text
    return ""


def _flow(value: object) -> str:
    """Return a value as YAML in one line."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{k}: {_flow(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(_flow, value)) + "]"
    text = str(getattr(value, "written", _shown(value)))
    plain = (
        text
        and text[0] not in "-?:,[]{}#&*!|>'\"%@` "
        and not any(s in text for s in (": ", " #", ", ", "{", "[", "]", "}"))
    )
    return text if plain else '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _dimension_lines(name: str) -> list[str]:
    size = make_size("example", example_measures(EXAMPLE_C_MM))
    usual, unit = float(getattr(size, name)), unit_of(name)
    at = f"with a shaft centre distance C of {EXAMPLE_C_MM:g} mm"
    if name in MEASURED:
        measured = MEASURED[name]
        return [
            f"{name} (fleet file, in a size)",
            f"  {_sentence(measured.words)} Measured; it has to be there.",
            f"  Usual {at}: {usual:.4g}{unit}.",
            f"  Example: {name}: {usual:.4g}",
        ]
    rule = PROPORTIONS[name]
    return [
        f"{name} (fleet file, in a size, under overrides)",
        f"  {_sentence(rule.words)}",
        f"  Left out, {at}: {usual:.4g}{unit}. Allowed there: {rule.choice.words(usual, unit)}.",
        f"  Example: overrides: {{{name}: {usual:.4g}}}",
    ]


def _value_lines(name: str) -> list[str]:
    value, words = VALUE_NAMES[name], load_words()
    belongs = (
        "; ".join(f"{o}: {' or '.join(map(str, c))}" for o, c in value.when.items()) if value.when else ""
    )
    text = f"{name}: {{value: ..., unit: {value.unit}, source: {{document: ...}}, date: 2031-02-28}}"
    return [
        f"{name} (fleet file, under values)",
        f"  {_sentence(value_title(name, words))} Where to find it: {where_to_look(name, words)}.",
        f"  A {value.quantity}{f' in {value.unit}' if value.unit else ''}, with its source.",
        "  Left out, it prints as a blank." + (f" Belongs to heads with {belongs}." if belongs else ""),
        f"  Example: {text if value.unit else text.replace('unit: , ', '')}",
    ]


def _name_lines(name: str) -> list[str]:
    """Return what is known of a step or a safety message that comes along."""
    lines: list[str] = []
    for kind in (*SHIPPED, *CHECKLISTS):
        sequence = load_sequence(kind)
        for step in (s for s in sequence.steps if s.id == name):
            lines.append(f"{name} (a step of the {kind} sequence)")
            for key in ("title", "acts", "look", "why"):
                lines += [f"  {key}: {said.text}" for said in getattr(step, key)]
            lines += [f"  cautions: {', '.join(n.name for n in step.cautions)}", ""]
    if (entry := load_cautions().entries.get(name)) is not None:
        lines += [
            f"{name} (a safety message)",
            f"  {entry.signal_word}: {entry.hazard} {entry.consequence} {entry.avoidance}",
            "",
        ]
    return lines


def _sequence_lines(sequence: Sequence) -> list[str]:
    width = max(len(s.id) for s in sequence.steps)
    lines = [f"{sequence.kind}: the ids of its steps, for additions"]
    return [*lines, *(f"  {s.id:{width}}  {s.title[-1].text}" for s in sequence.steps)]


def _likely(name: str) -> list[str]:
    """Return the words that may be meant, one a line."""
    words = {k.name for k in keys()} | _OWN_LISTS | set(load_cautions().entries)
    words |= {s.id for kind in (*SHIPPED, *CHECKLISTS) for s in load_sequence(kind).steps}
    left = sorted(words)
    found: list[str] = []
    while len(found) < MOST_LIKELY and (near := likely(name, left)):
        found.append(near)
        left.remove(near)
    if not found:
        return ["benchleaf explain lists every key."]
    return [f"Did you mean: {', '.join(found)}"]
