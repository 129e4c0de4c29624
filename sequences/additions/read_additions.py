"""Read a folder of additions: every file of it, every photo that it names, and whatever is wrong with them in one run.

API::

    read_additions(folder, shown_as, pumps, faults) -> Additions
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

from ..files.faults import Faults, any_of, likely
from ..files.file_models import validate_file
from ..files.file_paths import NamedFrom, file_in_folder
from ..files.yaml_files import YamlFile, read_yaml
from ..steps.marks.plant_marks import PlantContact, PlantLook, PlantPhoto
from .accent import AccentError, check_accent, dark_accent
from .addition_form import ALWAYS, KEYS, AdditionsFile, AdditionText, LookText
from .addition_tables import read_addition_table
from .additions import NO_ADDITIONS, Addition, Additions
from .photos import ENDINGS, LOGO_PX, PHOTO_PX, PhotoError, Px, photo_size

TABLES = (".csv", ".xlsx")
TEXTS = (".yaml", ".yml")
_TORQUE = re.compile(
    r"\d[\d.,]*\s*(?:N[·.⋅ ]?m|lbf?[·. -]?(?:ft|in)|ft[·. -]?lbf?|in[·. -]?lbf?|kgf?[·. ]?c?m)\b", re.I
)
_WORDS = ("text", "alt", "caption", "because", "hazard", "consequence", "avoidance")


def read_additions(folder: Path, shown_as: str, pumps: Mapping[str, str], faults: Faults) -> Additions:
    """Return all additions of a folder.

    Args:
        folder: the files in it, by their names, are read one after the other; folders in it are not.
        shown_as: what faults call it.
        pumps: plant tag to name of the size of every pump, to know whom an addition may be for.
        faults: takes every mistake.
    """
    files = sorted(
        f for f in folder.iterdir() if f.suffix.casefold() in (*TEXTS, *TABLES) and f.name[0] not in ".~"
    )
    found = NO_ADDITIONS
    entries: list[Addition] = []
    said: dict[str, str] = {}
    for file in files:
        name = f"{shown_as}/{file.name}"
        table = file.suffix.casefold() in TABLES
        doc = read_addition_table(file, name, faults) if table else read_yaml(file, faults, name)
        model = validate_file(AdditionsFile, doc, faults) if doc else None
        if doc is None or model is None:
            continue
        for key in ("look", "contact", "address"):
            if getattr(model, key) is not None and key in said:
                allowed = f"{key} in one file (it is in {said[key]})"
                faults.add(doc.fault((key,), f"{key} a second time", allowed, "take one away", key=True))
            elif getattr(model, key) is not None:
                said[key] = name
        look = _look(model.look, file, doc, faults) if model.look else found.look
        contact = found.contact
        if model.contact is not None:
            contact = PlantContact(model.contact.ask, model.contact.phone or "", model.contact.mail or "")
        address = model.address or found.address
        found = Additions((), look, contact, address, folder)
        entries += _entries(model.additions, file, doc, pumps, faults)
    return replace(found, entries=tuple(entries))


def _look(text: LookText, file: Path, doc: YamlFile, faults: Faults) -> PlantLook:
    accent, logo = "", None
    if text.accent:
        try:
            accent = check_accent(text.accent)
        except AccentError as e:
            faults.add(doc.fault(("look", "accent"), e.found, e.allowed, e.fix))
    if text.logo:
        if not text.logo_alt:
            fix = "add the line logo_alt: ..."
            faults.add(doc.fault(("look",), "a logo without logo_alt", "what the logo says", fix))
        named = NamedFrom(file, doc, ("look", "logo"), "the folder of additions")
        logo = _photo(text.logo, text.logo_alt or "", "", named, LOGO_PX, faults)
    return PlantLook(logo, accent, dark_accent(accent) if accent else "")


def _entries(
    texts: Sequence[AdditionText], file: Path, doc: YamlFile, pumps: Mapping[str, str], faults: Faults
) -> Iterator[Addition]:
    for text in texts:
        bare = Addition(text, doc)
        before = len(faults)
        _check_keys(bare, faults)
        _check_words(bare, faults)
        _check_pumps(bare, pumps, faults)
        photo = None
        if text.kind == "photo" and text.file:
            named = NamedFrom(file, doc, bare.at("file"), "the folder of additions")
            photo = _photo(text.file, text.alt or "", text.caption or "", named, PHOTO_PX, faults)
        if text.sound and len(faults) == before:
            yield Addition(text, doc, photo)


def _check_keys(a: Addition, faults: Faults) -> None:
    """Note keys that this kind of addition needs and lacks, and those that say nothing in it."""
    keys = KEYS.get(a.text.kind)
    raw = a.doc.data["additions"][a.text.path[-1]]
    if keys is None or not isinstance(raw, dict):  # what stands there has its fault
        return
    for key in keys.needs:
        if key not in raw:
            info = AdditionText.model_fields[key].description or ""
            faults.add(
                a.fault("", f"a {a.text.kind} without {key}", f"{key}: {info}", f"add the line {key}: ...")
            )
    known = (*ALWAYS, *keys.needs, *keys.may)
    for key in raw:
        if key not in known and any(key == (f.alias or n) for n, f in AdditionText.model_fields.items()):
            fix = "take the line away, or choose another kind"
            faults.add(a.doc.fault(a.at(key), f"{key} in a {a.text.kind}", any_of(known, key), fix, key=True))
    if a.text.kind == "sharper" and a.text.text is None and a.text.signal_word is None:
        fix = "add the line text: ..."
        faults.add(a.fault("", "nothing that makes it sharper", "text, signal_word or both", fix))


def _check_words(a: Addition, faults: Faults) -> None:
    """Note a torque that is written into a text: it would stand there without its source."""
    said = [(a.at(key), getattr(a.text, key)) for key in _WORDS]
    if a.text.new is not None:
        new = a.text.new
        for key in ("title", "acts", "look", "why"):
            said += [(x.path, x.text) for x in getattr(new, key)]
    for path, text in said:
        if text and (figure := _TORQUE.search(text)):
            fix = "write {value:...} and give the figure with its source under values in the fleet file"
            faults.add(
                a.doc.fault(path, f"a torque in a text ('{figure[0]}')", "values with their source", fix)
            )


def _check_pumps(a: Addition, pumps: Mapping[str, str], faults: Faults) -> None:
    names = list(dict.fromkeys([*pumps, *pumps.values()]))
    there = {n.casefold() for n in names}
    for n, name in enumerate(a.text.for_):
        if name.casefold() not in there:
            near = likely(name, names)
            fix = f"write {near}" if near else "name a pump or a size of the fleet"
            found, allowed = f"'{name}', which is no pump and no size", any_of(names, name) or "all pumps"
            faults.add(a.doc.fault(a.at("for", n), found, allowed, fix))


def _photo(
    name: str, alt: str, caption: str, named: NamedFrom, most: Px, faults: Faults
) -> PlantPhoto | None:
    file = file_in_folder(name, ENDINGS, named, faults)
    if file is None:
        return None
    try:
        width, height = photo_size(file, most)
        digest = sha256(file.read_bytes()).hexdigest()[:16]
    except PhotoError as e:
        faults.add(named.doc.fault(named.at, f"'{name}', {e.found}", e.allowed, e.fix))
        return None
    except OSError as e:
        faults.add(named.doc.fault(named.at, f"'{name}', {e.strerror}", "a file that can be read"))
        return None
    return PlantPhoto(f"plant-{digest}.jpg", width, height, alt, caption, file)
