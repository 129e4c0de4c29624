"""How parts are called in sentences: trade name, number in its row, side."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from ...geometry.assembly import Part

MOST_NAMED = 3
"""More parts than this are counted, not named, in one sentence."""


def word_of(part: Part) -> str:
    """Return what a sentence calls ``part``: ``rotor (drive side)``, ``large dowel``, ``cover nut 3``."""
    words = _bare(part)
    tail = part.key.rsplit("_", 1)[-1]
    if tail.isdigit():
        words += f" {tail}"
    elif part.key not in (part.kind, f"{part.kind}_{part.side}") and part.key.startswith(f"{part.kind}_"):
        words = f"{part.key[len(part.kind) + 1 :].replace('_', ' ')} {words}"
    return f"{words} ({part.side} side)" if part.side else words


def words_of_parts(parts: Mapping[str, Part], keys: Iterable[str]) -> str:
    """Return several parts in one phrase, with an article: equal parts are counted, a long list is cut.

    >>> words_of_parts({}, [])
    'nothing'
    """
    return and_list(phrases_of_parts(parts, keys)) or "nothing"


def phrases_of_parts(parts: Mapping[str, Part], keys: Iterable[str]) -> list[str]:
    """Return several parts in phrases to be joined, as :func:`words_of_parts` does."""
    groups: dict[tuple[str, str], list[Part]] = {}
    for key in dict.fromkeys(keys):
        part = parts[key]
        groups.setdefault((part.kind, part.name), []).append(part)
    phrases = []
    for group in groups.values():
        if len(group) == 1:
            word = word_of(group[0])
            phrases.append(
                word if group[0].key.rsplit("_", 1)[-1].isdigit() and not group[0].side else f"the {word}"
            )
        elif len(group) == 2 and {p.side for p in group} == {"drive", "driven"}:
            phrases.append(f"both {_plural(_bare(group[0]))}")
        else:
            phrases.append(f"the {len(group)} {_plural(_bare(group[0]))}")
    if len(phrases) > MOST_NAMED:
        phrases = [*phrases[:MOST_NAMED], f"{len(phrases) - MOST_NAMED} more"]
    return phrases


def and_list(phrases: Sequence[str]) -> str:
    """Return phrases as one.

    >>> and_list(["the key", "the nut", "the cover"])
    'the key, the nut and the cover'
    """
    return " and ".join([*([", ".join(phrases[:-1])] if len(phrases) > 1 else []), *phrases[-1:]])


def start(words: str) -> str:
    """Return ``words`` as the start of a sentence."""
    return words[:1].upper() + words[1:]


def _bare(part: Part) -> str:
    return part.name if part.name[:2].isupper() else part.name[:1].lower() + part.name[1:]


def _plural(words: str) -> str:
    """Return the plural of a trade name; ours all end in a plain noun.

    >>> _plural("key"), _plural("body"), _plural("bush")
    ('keys', 'bodies', 'bushes')
    """
    if words.endswith("y") and words[-2:-1] not in "aeiou":
        return words[:-1] + "ies"
    return words + ("es" if words.endswith(("s", "x", "sh", "ch")) else "s")
