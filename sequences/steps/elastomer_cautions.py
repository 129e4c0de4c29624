"""Cautions from what a head's elastomers meet: product, cleaning media, lubricant and heat.

API::

    elastomer_cautions(elastomer, cover_oring, product, cleaning, lubricant, process_c) -> tuple[Raised, ...]
"""

from __future__ import annotations

from collections.abc import Iterable

from ...geometry.dimensions.parts_list import KINDS
from ...geometry.engineering.elastomers import Incompatibility, heat_incompatibility, incompatibilities
from .plan import Caution
from .resolve import Raised

_ORINGS = frozenset(k for k in KINDS if k.endswith("_oring"))
_COVER = frozenset({"cover_oring"})
_USED = {"lubricant": frozenset({"assembly_lubricant"}), "cleaning": frozenset({"cleaning_agent"})}
"""Role of a medium to the values that a step states where it uses it."""
ENCAPSULATED = "ptfe-encapsulated"


def elastomer_cautions(
    elastomer: str,
    cover_oring: str = "solid",
    product: Iterable[str] = (),
    cleaning: Iterable[str] = (),
    lubricant: str | None = None,
    process_c: float | None = None,
) -> tuple[Raised, ...]:
    """Return the messages that a head's combination of elastomer and media raises, the worst first.

    They are property messages (NOTICE): what the table knows is harm to rings and product. A message goes to the steps
    that fit or inspect the rings, and to those that use the lubricant or the cleaning agent; one that concerns the
    cover O-ring alone (PTFE-encapsulated) to its steps.

    Raises:
        KeyError: if a class of medium is not in the elastomer table.

    >>> [r.caution.id for r in elastomer_cautions("EPDM", lubricant="mineral-grease")]
    ['media_epdm_mineral_grease']
    """
    encapsulated = cover_oring == ENCAPSULATED
    rings = _ORINGS - _COVER if encapsulated else _ORINGS
    found = [(c, rings) for c in incompatibilities(elastomer, lubricant, product, cleaning)]
    if process_c is not None and (heat := heat_incompatibility(elastomer, process_c)):
        found.append((heat, rings))
    if encapsulated:
        found += [(c, _COVER) for c in incompatibilities(ENCAPSULATED, lubricant, product, cleaning)]
    return tuple(Raised(_caution(c), kinds, _USED.get(c.role, frozenset())) for c, kinds in found)


def _caution(clash: Incompatibility) -> Caution:
    met = clash.medium or "heat"
    return Caution(
        id=f"media_{clash.elastomer}_{met}".casefold().replace("-", "_"),
        signal_word="NOTICE",
        hazard="",
        consequence="",
        avoidance="",
        hazard_kind="contamination",
        meeting=clash,
    )
