"""Script in every text that a fleet file and its cautions take: it runs nowhere, and is shown as the text it is."""

from __future__ import annotations

import re
import typing
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.fleet.fleet_file import FleetFile
from benchleaf.site.booklets.library import booklet_setting
from benchleaf.site.pages.library.head_lines import HeadLine, missing_line
from benchleaf.site.pages.library.library_pages import write_library
from benchleaf.site.pages.pages import write_booklet
from browsing import PHONE, Visit, browser
from fleet_pages import make_booklet
from playwright.sync_api import Browser
from pydantic import BaseModel

ATTACK = (
    "<script>document.documentElement.dataset.ran='script'</script>"
    '<img src="x:" onerror="document.documentElement.dataset.ran=\'handler\'">'
    "'\"--></style></title><svg onload=\"document.documentElement.dataset.ran='svg'\">{{ 7*7 }}&lt;"
)
CHECKED = {
    *("booklet.languages", "booklet.translations", "booklet.released.language", "booklet.released.texts"),
    *("booklet.released.date", "booklet.released.role"),  # shown on pages of another language alone
    *("booklet.address", "booklet.date", "additions", "cautions", "sequences", "heads_table"),
    *(
        "decision_rule.date",
        "values.decision_rule.date",
        "values.unit",
        "values.medium",
        "values.date",
        "heads.tag",
        "heads.size",
    ),
    *("heads.product", "heads.cleaning", "heads.own_parts.file", "heads.as_found.date"),
}
"""Texts held to a form, a list or a file; what is not of it is refused (``tests/sequences/test_fleet_files.py``)."""
UNSHOWN = {"note", "booklet.id", "sizes.note"}
"""For people who edit the file, or hashed."""


def text_fields(model: type[BaseModel] = FleetFile, stem: str = "") -> Iterator[str]:
    """Yield each field of the fleet file that takes text, by its path; values of all levels and names count once."""
    for name, field in model.model_fields.items():
        inner = list(_models(field.annotation))
        if not inner and str in _kinds(field.annotation):
            yield stem + name
        for one in inner[:1]:
            if one.__name__ == "ValuesByName":
                if not stem:
                    yield from text_fields(
                        next(_models(one.model_fields["anti_seize"].annotation)), "values."
                    )
                    yield "values.value"
            elif one.__name__ != "Overrides":
                yield from text_fields(one, f"{stem}{name}.")


def _models(of: Any) -> Iterator[type[BaseModel]]:
    if isinstance(of, type) and issubclass(of, BaseModel):
        yield of
    for inner in typing.get_args(of):
        yield from _models(inner)


def _kinds(of: Any) -> set[Any]:
    if typing.get_origin(of) is typing.Literal:
        return set()
    return {of, *(k for inner in typing.get_args(of) for k in _kinds(inner))}


class Marked:
    """Texts with script in them, each told from the others by its mark."""

    def __init__(self) -> None:
        self.texts: dict[str, str] = {}

    def __call__(self, field: str) -> str:
        return self.texts.setdefault(field, f"Z{len(self.texts):02d}Z could {ATTACK}")


def hostile_fleet(said: Marked) -> dict[str, Any]:
    """Return a fleet file with such a text wherever one goes."""

    def source(stem: str) -> dict[str, str]:
        return {k: said(f"{stem}.source.{k}") for k in ("document", "revision", "table", "page")}

    day = "2031-01-01"
    size = said("size name")
    return {
        "plant": said("plant"),
        "demo": True,
        "note": said("note"),
        "booklet": {**{k: said(f"booklet.{k}") for k in ("title", "id", "revision")}, "date": day},
        "cautions": "own.yaml",
        "decision_rule": {"rule": "guarded", "source": source("decision_rule"), "date": day},
        "values": {
            "anti_seize": {
                "value": said("values.value"),
                "condition": said("values.condition"),
                "source": source("values"),
                "date": day,
            },
            "rear_clearance": {
                "range": [0.05, 0.10],
                "unit": "mm",
                "source": {"document": "List 1"},
                "date": day,
            },
            "front_face_clearance": {
                "range": [0.05, 0.10],
                "unit": "mm",
                "decision_rule": {"rule": "guarded", "source": source("values.decision_rule"), "date": day},
                "source": {"document": "List 1"},
                "date": day,
            },
        },
        "sizes": {
            size: {
                "shaft_centre_distance_mm": 80,
                "rotor_diameter_mm": 113,
                "rotor_width_mm": 56,
                "shaft_diameter_mm": 30,
                "port_bore_mm": 46,
                "note": said("sizes.note"),
                "spare_parts": {
                    "shaft_oring": {
                        "number": said("sizes.spare_parts.number"),
                        "spare": "replace always",
                        "compound": said("sizes.spare_parts.compound"),
                    }
                },
            }
        },
        "heads": [
            {
                "tag": "P-1",
                "size": size,
                "service": said("heads.service"),
                **{
                    k: said(f"heads.{k}")
                    for k in ("serial_number", "seal_code", "elastomer_code", "clearance_code")
                },
                "spare_parts": {
                    "key": {
                        "number": said("heads.spare_parts.number"),
                    },
                    "nut_oring": {"compound": said("heads.spare_parts.compound"), "spare": "replace always"},
                },
                "as_found": [
                    {"date": day, "record": said("heads.as_found.record"), "front_face_clearance": 0.07}
                ],
            }
        ],
    }


def hostile_cautions(said: Marked) -> dict[str, Any]:
    """Return a file of messages of the plant's own with such texts."""
    told = {k: said(f"caution {k}") for k in ("hazard", "consequence", "avoidance")}
    return {
        "cautions": [
            {
                "id": "own",
                "signal_word": "WARNING",
                "hazard_kind": "unexpected start",
                **told,
                "brought_by": [{"at": "front"}],
            }
        ]
    }


@pytest.fixture(scope="module", name="written")
def _written(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Marked]:
    folder, said = tmp_path_factory.mktemp("hostile"), Marked()
    file = folder / "fleet.yaml"
    file.write_text(yaml.safe_dump(hostile_fleet(said), allow_unicode=True, sort_keys=False), "utf-8")
    (folder / "own.yaml").write_text(yaml.safe_dump(hostile_cautions(said), sort_keys=False), "utf-8")
    fleet = load_fleet(file)
    row, setting, to = fleet.heads[0], booklet_setting(fleet), folder / "library"
    booklet = make_booklet(fleet, row)
    write_booklet(booklet, to / row.slug, setting, "../index.html")
    line = HeadLine(
        row.slug,
        row.tag,
        row.size.name,
        row.service,
        (),
        f"{row.slug}/index.html",
        "",
        1,
        1,
        len(booklet.missing),
    )
    missing = tuple(missing_line(row.tag, row.slug, v) for v in booklet.missing)
    write_library((line,), missing, to, setting, booklet.doubts)
    return to, said


@pytest.fixture(scope="module", name="chrome")
def _chrome() -> Iterator[Browser]:
    with browser() as running:
        yield running


def test_every_text_of_a_fleet_file_is_among_those_tried(written: tuple[Path, Marked]) -> None:
    _, said = written
    taken = set(text_fields())
    assert len(taken) > 25
    assert taken - CHECKED == {f for f in said.texts if f != "size name" and not f.startswith("caution ")}


@pytest.mark.parametrize("policy", [True, False], ids=["with the policy", "by escaping alone"])
def test_script_in_a_users_text_runs_nowhere_and_is_shown_as_text(
    chrome: Browser, written: tuple[Path, Marked], policy: bool
) -> None:
    library, said = written
    context, shown, bad = chrome.new_context(viewport=PHONE), list[str](), dict[str, object]()
    for file in sorted(library.rglob("*.html")):
        if not policy:
            text = file.read_text("utf-8")
            file = file.with_name(f"free-{file.name}")
            file.write_text(re.sub(r'<meta http-equiv="Content-Security-Policy"[^>]*>', "", text), "utf-8")
        visit = Visit(context, file)
        ran, strange = visit.page.evaluate(
            """() => [document.documentElement.dataset.ran || '', [...document.querySelectorAll(
                '[onerror], [onload], script:not([src]):not([type="application/json"])')].map(e => e.outerHTML)]"""
        )
        if (ran, strange, visit.outside(), visit.troubles) != ("", [], [], []):
            bad[file.name] = (ran, strange[:2], visit.outside(), visit.troubles[:2])
        values = "[...document.querySelectorAll('[title], [aria-label], [alt]')].map(e => e.title + e.alt).join(' ')"
        shown.append(visit.page.evaluate(f"document.title + document.body.textContent + {values}"))
        visit.page.close()
        if not policy:
            file.unlink()
    context.close()
    assert bad == {}
    all_shown = re.sub(r"\s+", " ", " ".join(shown))
    unseen = {field for field, text in said.texts.items() if re.sub(r"\s+", " ", text) not in all_shown}
    assert unseen <= UNSHOWN | {"booklet.revision"}, "each is read as it was written"
