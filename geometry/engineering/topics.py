"""Topics: what a figure, an input, a source or a doubt is about, typed; what it is called, the catalogues say.

A topic is a key of the catalogues of words and the facts that go into its text. A fact is a number whose unit its name
tells (``process_c``), the key of a table (``material="316L"``), or text that no language changes: the designation of a
standard, the name of a document or work, the owner's own words.
"""

from __future__ import annotations

from dataclasses import dataclass

Fact = str | int | float


@dataclass(frozen=True, init=False)
class Topic:
    """One topic: dotted ``key`` in the catalogues, and its ``facts`` in the order given.

    >>> Topic("figure.gap_hot", gap="front", process_c=95.0)["process_c"]
    95.0
    """

    key: str
    facts: tuple[tuple[str, Fact], ...]

    def __init__(self, key: str, /, **facts: Fact) -> None:
        vars(self).update(key=key, facts=tuple(facts.items()))

    def __getitem__(self, name: str) -> Fact:
        """Return the fact ``name``.

        Raises:
            KeyError: if the topic has no such fact.
        """
        return dict(self.facts)[name]

    def with_key(self, key: str, /, **more: Fact) -> Topic:
        """Return a topic of another key with the facts of this one, and ``more``.

        >>> Topic("figure.kept", turned="over").with_key("figure.share")
        Topic(key='figure.share', facts=(('turned', 'over'),))
        """
        return Topic(key, **{**dict(self.facts), **more})


SIZE = Topic("source.size")
"""A dimension of this size."""
EARLIER = Topic("source.earlier")
"""A figure worked out before."""
PROCESS = Topic("source.process")
"""The process temperature."""
