"""The export verb: all files of each head asked for, nothing on a mistake; pictures as SVG, whole in themselves."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from benchleaf.render.drawing.manifest import CameraSeen, Manifest, PartSeen
from benchleaf.render.pictures.kept_pictures import Picture
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.proof import head_work
from benchleaf.sequences.proof.head_work import make_plans
from benchleaf.sequences.steps.plan import Plan
from benchleaf.site.command import DEMO_FLEET, main
from benchleaf.site.extras import exporting
from benchleaf.site.extras.exporting import export_pictures, figure_svg
from benchleaf.site.pages.picture_views import PictureWords
from benchleaf.site.pages.view_models import PartRow
from browsing import Visit, browser
from picture_sizes import SMALL as PICTURES
from PIL import Image
from playwright.sync_api import Browser

FLEET = DEMO_FLEET / "fleet.yaml"
SMALL = replace(PICTURES, film_frames=0)
NS = "{http://www.w3.org/2000/svg}"
DRAWING = "benchleaf.render.pictures.step_pictures.take_frame"


def test_export_writes_both_files(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["export", "demo", "--only", "P-101", "--to", str(tmp_path / "models")]) == 0
    names = sorted(p.name for p in (tmp_path / "models").iterdir() if not p.name.startswith("."))
    assert names == ["p-101.glb", "p-101.step"]
    assert "1 head as STEP and glTF" in capsys.readouterr().out


@pytest.mark.parametrize("more", [[], ["--pictures"]])
def test_unknown_tag_writes_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], more: list[str]
) -> None:
    assert main(["export", "demo", "--only", "P-999", "--to", str(tmp_path / "models"), *more]) == 2
    assert "P-999" in capsys.readouterr().err
    assert not (tmp_path / "models").exists()


SAMPLE = {
    "shaft_orings",
    "body_on",
    "second_nut",
    "rotor_drive",
    "cover_nuts",
    "cover_off",
    "orings",
    "verdict",
}
"""Steps that are drawn in these tests: few and many callouts, long names, none."""


def _some_plans(*given: Any) -> tuple[Plan, ...]:
    return tuple(replace(p, steps=tuple(s for s in p.steps if s.id in SAMPLE)) for p in make_plans(*given))


@pytest.fixture(scope="module", name="exported")
def _exported(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, list[str]]]:
    """Pictures of one head, small, and what was said meanwhile; the cache is beside them."""
    folder, said = tmp_path_factory.mktemp("svg"), list[str]()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(head_work, "make_plans", _some_plans)
        patch.setattr(exporting, "worker_count", lambda *a: 1)
        count = export_pictures(FLEET, folder / "svg", ["P-101"], said.append, folder / "cache", SMALL)
        assert count == (len(list((folder / "svg/p-101").iterdir())), 1)
        yield folder, said


def _texts(file: Path) -> list[str]:
    return [t.text or "" for t in ElementTree.parse(file).getroot().iter(f"{NS}text")]


def test_each_picture_is_one_file_named_as_in_the_booklet(exported: tuple[Path, list[str]]) -> None:
    folder, said = exported
    fleet = load_fleet(FLEET)
    head = fleet.head("P-101")
    plans = _some_plans(head, tuple(fleet.sequences.values()))
    assert {s.id for p in plans for s in p.steps} == SAMPLE
    names = {f"{p.sequence}-{s.number:02d}.svg" for p in plans for s in p.steps} | {"overview.svg"}
    assert {p.name for p in (folder / "svg/p-101").iterdir()} == names
    assert said == ["P-101"], "every callout found room"
    for file in (folder / "svg/p-101").iterdir():
        text = file.read_text("utf-8")
        assert text.count("data:image/png;base64,") == 1
        assert re.findall(r'(?:href|src)="(?!data:)|url\(', text) == [], "nothing outside is asked for"
    rotor = next(s for s in plans[0].steps if s.id == "rotor_drive")
    file = folder / f"svg/p-101/{plans[0].sequence}-{rotor.number:02d}.svg"
    assert _texts(file) == ["Rotor, drive side"]
    assert rotor.title in (ElementTree.parse(file).getroot().findtext(f"{NS}title") or "")


def test_the_overview_has_numbers_round_it_and_the_parts_list_below(
    exported: tuple[Path, list[str]],
) -> None:
    texts = _texts(exported[0] / "svg/p-101/overview.svg")
    numbers = [t for t in texts if t.isdigit()]
    assert len(numbers) == 2 * len(set(numbers)) > 40, "each number round the picture and in the key"
    assert {"Rotor", "Cover"} <= set(texts)


def test_callouts_without_room_are_named_in_a_sentence_and_left_out() -> None:
    still = io.BytesIO()
    Image.new("RGB", (80, 60)).save(still, "WEBP")
    keys = [f"part_{n}" for n in range(200)]
    parts = {k: PartSeen("plain", 10, None, (0.5, 0.5), None) for k in keys}
    camera = CameraSeen("front", (0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (0.0, 0.0, 0.0), 100.0)
    manifest = Manifest("overview", "", 0, {"webp": "s.webp"}, 80, 60, camera, False, parts)
    rows = [(PartRow(n, "pin", "Pin", 1, "316L", (k,)), "Pin", (k,)) for n, k in enumerate(keys)]
    texts = PictureWords("All parts.", "", tuple(rows))
    text, sentence = figure_svg(Picture(manifest, {"webp": still.getvalue()}), texts)
    assert sentence == "its 200 callouts find no room round the picture; it is written without them."
    root = ElementTree.fromstring(text)
    assert root.findtext(f"{NS}title") == "All parts."
    assert list(root.iter(f"{NS}text")) == []


@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    with browser() as running:
        yield running


_TROUBLE = """() => {
    const svg = document.documentElement, view = svg.viewBox.baseVal, bad = [];
    const texts = [...svg.querySelectorAll('text')];
    const boxes = texts.map(t => t.getBoundingClientRect()), all = svg.getBoundingClientRect();
    boxes.forEach((a, i) => {
        if (a.left < all.left || a.right > all.right || a.top < all.top || a.bottom > all.bottom)
            bad.push(texts[i].textContent + ' leaves the page');
        boxes.slice(i + 1).forEach((b, j) => {
            if (Math.min(a.right, b.right) > Math.max(a.left, b.left)
                && Math.min(a.bottom, b.bottom) > Math.max(a.top, b.top))
                bad.push(texts[i].textContent + ' over ' + texts[i + 1 + j].textContent);
        });
    });
    const picture = svg.querySelector('image').getBoundingClientRect();
    if (Math.abs(all.width / all.height - view.width / view.height) > 0.001) bad.push('its sides are not its frame');
    if (picture.left < all.left || picture.right > all.right) bad.push('the picture leaves the page');
    return bad;
}"""


def test_labels_stand_clear_of_each_other_within_the_frame(
    chrome: Browser, exported: tuple[Path, list[str]]
) -> None:
    context = chrome.new_context()
    bad = {}
    for file in sorted((exported[0] / "svg/p-101").glob("*.svg")):
        visit = Visit(context, file)
        found = (visit.page.evaluate(_TROUBLE), visit.troubles, visit.outside())
        if found != ([], [], []):
            bad[file.name] = found
        visit.page.close()
    context.close()
    assert bad == {}


def test_pictures_taken_before_are_used_again(
    exported: tuple[Path, list[str]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder, _ = exported
    monkeypatch.setattr(DRAWING, lambda *a: pytest.fail("kept in the cache"))
    export_pictures(FLEET, tmp_path / "again", ["P-101"], lambda t: None, folder / "cache", SMALL)
    first = {p.name: p.read_bytes() for p in (folder / "svg/p-101").iterdir()}
    assert first == {p.name: p.read_bytes() for p in (tmp_path / "again/p-101").iterdir()}
