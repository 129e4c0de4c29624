"""What the command line says where the proof refuses a build."""

from __future__ import annotations

from collections.abc import Mapping, Sequence


def refusal(proofs: Mapping[str, Sequence[str]], how: str) -> str:
    """Return the words that end a build: every violation of every head, and ``how`` to build all the same."""
    lines = ["The proof found what cannot be done:"]
    for tag, violations in proofs.items():
        lines += [f"  {tag}, {text}" for text in violations]
    lines.append(f"Nothing was written. Mend the sequence or the size, or {how}.")
    return "\n".join(lines)
