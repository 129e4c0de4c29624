"""Pages show what is the plant's own, as the plant's: notes, photos, texts, steps, messages, logo, colour, contact."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape
from pathlib import Path

import pytest
from addition_samples import located_photo
from benchleaf.sequences.additions.accent import dark_accent
from benchleaf.sequences.steps.marks.plant_marks import (
    LeftOutStep,
    PlantContact,
    PlantLook,
    PlantMarks,
    PlantPhoto,
    PlantText,
)
from benchleaf.sequences.steps.plan import Plan
from benchleaf.site.booklets.plant_files import plant_photos, write_logo
from benchleaf.site.pages.booklet import make_chapter
from benchleaf.site.pages.pages import LOGO, Setting, write_booklet
from benchleaf.site.words.catalogue import load_words
from PIL import Image
from site_samples import sample_booklet, sample_plan, sample_values

WORDS = load_words()
OLD = "As it came."


def marked_plan(folder: Path) -> Plan:
    """Return the sample plan with every kind of mark on its third step, and its fourth all the plant's own."""
    file = folder / "face.jpg"
    located_photo(file)
    plan = sample_plan()
    third, fourth = plan.steps[2], plan.steps[3]
    photo = PlantPhoto("plant-1.jpg", 200, 400, "The bare face", "After cleaning", file)
    marks = PlantMarks(
        notes=("Cloths lie in cage 4.",),
        photos=(photo,),
        texts=(PlantText(third.acts[0]), PlantText(third.title, OLD)),
        left_out=(LeftOutStep("old", "Fill the head", "Quality assurance does it."),),
    )
    own = replace(fourth, plant=PlantMarks(own=True))
    message = third.messages[0]
    graver = replace(message, added="Ring the control room as well.")
    third = replace(
        third,
        plant=marks,
        cautions=(graver,),
        reminders=(),
    )
    steps = [*plan.steps]
    steps[2:4] = [third, own]
    return replace(plan, steps=tuple(steps))


@pytest.fixture(scope="module", name="pages")
def _pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    folder = tmp_path_factory.mktemp("booklet")
    plan = marked_plan(folder)
    booklet = replace(sample_booklet(), chapters=(make_chapter(plan, {}, sample_values()),))
    logo = PlantPhoto("plant-2.jpg", 400, 100, "Invented Works", "", folder / "logo.png")
    Image.new("RGB", (800, 200), "seagreen").save(logo.file)
    look = PlantLook(logo, "#1f5f3f", dark_accent("#1f5f3f"))
    ask = PlantContact("Maintenance training", "4711", "training@works.example")
    setting = Setting(WORDS, "Invented Works", True, "2025-03-01", look=look, contact=ask)
    write_booklet(booklet, folder / "out", setting)
    write_logo(folder / "out", setting)
    with Image.open(folder / "out" / LOGO) as shown:
        assert shown.size == (640, 160)
    return {p.stem: p.read_text("utf-8") for p in (folder / "out").glob("*.html")}


def plain(markup: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", markup)).replace("\xa0", " ").split())


def step_of(page: str, number: int) -> str:
    parts = re.split(r'(?=<section class="[^"]*" id="[^"]*step-\d+")', page)
    return next(p for p in parts if re.search(rf'data-step="{number}"', p[:400]))


@pytest.mark.parametrize("name", ["assembly", "class-assembly", "paper", "notes-assembly"])
def test_notes_photos_and_what_was_left_out_stand_beside_their_step(pages: dict[str, str], name: str) -> None:
    shown = step_of(pages[name], 3)
    aside = re.search(r"<aside class=\"plant\".*?</aside>", shown, re.S)
    assert aside is not None
    said = plain(aside[0])
    assert said.startswith(WORDS("plant.note"))
    assert "Cloths lie in cage 4." in said
    assert WORDS("plant.left_out", title="Fill the head") + " Quality assurance does it." in said
    assert 'src="pictures/plant-1.jpg" width="200" height="400" alt="The bare face"' in aside[0]
    assert "After cleaning" in said
    assert (OLD in said) == (name in ("assembly", "notes-assembly"))
    assert all('<aside class="plant"' not in step_of(pages[name], n) for n in (1, 2, 4, 5))


@pytest.mark.parametrize("name", ["assembly", "class-assembly", "paper"])
def test_the_plants_own_words_are_signed_and_no_others(pages: dict[str, str], name: str) -> None:
    sign = WORDS("plant.sign_long")
    third = plain(step_of(pages[name], 3))
    plan = sample_plan()
    acts = plan.steps[2].acts
    assert f"{acts[0]} {WORDS('plant.sign')} {sign}" in third
    assert all(f"{a} {WORDS('plant.sign')}" not in third for a in acts[1:])
    assert f"{WORDS('plant.sign')} {sign} Ring the control room as well." in third
    assert sign not in plain(step_of(pages[name], 2))
    fourth = plain(step_of(pages[name], 4))
    assert WORDS("plant.step") in fourth
    assert sign not in fourth, "a step that is all the plant's own is signed once"


def test_logo_colour_and_whom_to_ask(pages: dict[str, str]) -> None:
    for name in ("index", "paper"):
        assert f'src="{LOGO}" width="400" height="100" alt="Invented Works"' in pages[name]
        assert "Maintenance training · Phone 4711" in plain(pages[name])
    for page in pages.values():
        assert "<style>:root { --accent: #1f5f3f; }" in page
    assert all('href="mailto:training@works.example"' in pages[n] for n in ("index", "assembly", "record"))


def test_photos_become_files_of_the_booklet_without_their_data(tmp_path: Path) -> None:
    files = plant_photos([marked_plan(tmp_path), sample_plan()])
    assert list(files) == ["pictures/plant-1.jpg"]
    assert b"Invented maker" in (tmp_path / "face.jpg").read_bytes()
    assert b"Invented maker" not in files["pictures/plant-1.jpg"]
