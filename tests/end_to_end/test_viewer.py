"""Steps in 3D as a person uses them, in Chromium from disk, on the booklet of a whole head.

Set ``BENCHLEAF_LIBRARY`` to the folder of a demo library that is there already, and its first head is opened instead.
"""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from benchleaf.geometry.assembly import Assembly
from benchleaf.geometry.frame import Floats, Place
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.fleet.heads import plan_head
from benchleaf.sequences.proof.head_work import solid_head
from benchleaf.sequences.steps.plan import Step
from browsing import QUIET, Visit, browser, chromium, viewport
from demo_library import FLEET, demo_library
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize
from scipy.spatial.transform import Rotation

pytestmark = pytest.mark.slow  # a head is built

HEAD = "P-101"
PHONE, TABLET, DESK = viewport(360, 740), viewport(820, 1180), viewport(1440, 900)
SIZES = {"phone": PHONE, "tablet": TABLET, "desk": DESK}
LEAST_PX = 48
"""Width and height of what a finger has to meet."""
STEP = "rotor_drive"
"""A step of the assembly in which a large part travels."""


@pytest.fixture(scope="module")
def booklet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return demo_library(tmp_path_factory) / HEAD.lower()


@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    with browser(solid=True) as running:
        yield running


@cache
def head() -> Assembly:
    return solid_head(load_fleet(FLEET).head(HEAD))


def steps_of(sequence: str) -> tuple[Step, ...]:
    fleet = load_fleet(FLEET)
    return plan_head(fleet.head(HEAD), fleet.sequences[sequence]).steps


def number_of(step_id: str, sequence: str = "assembly") -> int:
    return next(s.number for s in steps_of(sequence) if s.id == step_id)


def model_of(booklet: Path) -> dict[str, Any]:
    text = (booklet / "viewer" / "model.js").read_text("utf-8")
    found = re.fullmatch(r"window\.benchleafModel=(\[.*\]);\n", text, re.S)
    assert found
    told: dict[str, Any] = json.loads(found[1])[0]
    return told


class Turned:
    """A step opened in 3D."""

    def __init__(
        self,
        chrome: Browser,
        booklet: Path,
        size: ViewportSize,
        step: int,
        sequence: str = "assembly",
        **more: Any,
    ) -> None:
        self.context: BrowserContext = chrome.new_context(viewport=size, **more)
        self.visit = Visit(self.context, booklet / f"{sequence}.html", f"#step-{step}")
        self.page: Page = self.visit.page
        self.button = self.page.locator(f'.in-3d[data-step="{sequence}-{step}"]')
        self.button.click()
        self.page.wait_for_selector(".viewer canvas")
        self.page.wait_for_function("() => performance.getEntriesByName('viewer-ready').length > 0")
        self.settle()

    def settle(self) -> None:
        """Wait for two frames: the one that was asked for is then on the screen."""
        self.page.evaluate("() => new Promise(f => requestAnimationFrame(() => requestAnimationFrame(f)))")

    def view(self, what: str) -> Any:
        return self.page.evaluate(f"() => {{ const view = benchleafViewer.view; return {what}; }}")

    def pixels(self) -> Floats:
        """Return what the canvas shows, (height, width, 3) from 0 to 255."""
        self.settle()
        shot = self.page.locator(".viewer canvas").screenshot()
        return np.asarray(Image.open(io.BytesIO(shot)).convert("RGB"), dtype=float)

    def middle(self) -> tuple[float, float]:
        box = self.page.locator(".viewer canvas").bounding_box()
        assert box is not None
        return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2

    def press(self, name: str) -> None:
        self.page.get_by_role("button", name=name, exact=True).click()
        self.settle()

    def choose(self, part: str) -> None:
        """Choose a part by its name from the list."""
        self.page.get_by_label("Name a part").select_option(label=part)
        self.settle()

    def close(self) -> None:
        assert (self.visit.troubles, self.visit.outside(), self.visit.too_wide()) == ([], [], 0)
        self.context.close()


def changed(a: Floats, b: Floats) -> float:
    """Return the share of pixels that differ."""
    return float((np.abs(a - b).max(axis=-1) > 12).mean())


# ---------------------------------------------------------------- the model
def place_of(pose: list[float]) -> Place:
    matrix = np.eye(4)
    matrix[:3, :3] = Rotation.from_quat(pose[3:]).as_matrix()
    matrix[:3, 3] = pose[:3]
    return Place.from_matrix(matrix)


def apart(pose: list[float], place: Place) -> float:
    return float(np.abs(place_of(pose).matrix() - place.matrix()).max())


@pytest.mark.parametrize("sequence", ["assembly", "disassembly"])
def test_every_move_ends_in_the_assembly_or_begins_there(booklet: Path, sequence: str) -> None:
    """With the shafts as the steps before have left them; parts on a bench are laid out for themselves."""
    model, assembly = model_of(booklet), head()
    keys = [p["id"] for p in model["parts"]]
    assert keys == list(assembly.parts)
    told = {s["number"]: s for s in model["steps"] if s["sequence"] == sequence}
    tried = 0
    for step in steps_of(sequence):
        found = told[step.number]
        assert {keys[n] for n in found["parts"]} == {*step.present, *step.moving, *step.focus}
        tracks = {keys[t["part"]]: t for act in found["acts"] for t in act}
        assert set(tracks) == set(step.moving)
        places = assembly.places_at(step.stands_at_deg)
        if step.bench:
            continue
        for key, track in tracks.items():
            end = track["poses"][-1 if found["into"] else 0]
            assert apart(end, places[key]) < 1e-3, (step.id, key)
            tried += 1
        others = {keys[n]: pose for n, pose in found["poses"]}
        if step.moves:
            for key in set(step.present) - set(step.moving):
                pose = others.get(key, model["parts"][keys.index(key)]["pose"])
                assert apart(pose, places[key]) < 1e-3, (step.id, key)
        assert found["turn"] == (step.shaft_turn_deg if not step.bench else 0.0)
    assert tried > 25


def test_weights(booklet: Path) -> None:
    assert (booklet / "viewer" / "viewer.js").stat().st_size < 600_000
    assert (booklet / "viewer" / "model.js").stat().st_size < 2_500_000
    assert sum(f.stat().st_size for f in booklet.rglob("*") if f.is_file()) < 16_000_000


# ---------------------------------------------------------------- opened and closed
@pytest.mark.parametrize("size", SIZES)
def test_it_takes_the_place_of_the_picture_and_gives_it_back(
    chrome: Browser, booklet: Path, size: str
) -> None:
    turned = Turned(chrome, booklet, SIZES[size], number_of(STEP))
    page = turned.page
    plate = page.locator(".plate.turning")
    assert not plate.locator("img").first.is_visible()
    assert page.evaluate("document.activeElement.tagName") == "CANVAS"
    box, whole = page.locator(".viewer").bounding_box(), plate.bounding_box()
    assert box is not None
    assert whole is not None
    assert box["width"] == pytest.approx(whole["width"], abs=1)
    canvas = page.locator(".viewer canvas").bounding_box()
    assert canvas is not None
    assert 240 <= canvas["height"] <= SIZES[size]["height"]
    assert len(np.unique(turned.pixels().reshape(-1, 3), axis=0)) > 200, "something is drawn"
    small = page.evaluate(
        """least => [...document.querySelectorAll('.viewer button, .viewer select, .viewer input, .viewer a')]
            .map(e => [e.textContent || e.ariaLabel, e.getBoundingClientRect()])
            .filter(([, r]) => r.width && (r.width < least || r.height < least)).map(([name]) => name)""",
        LEAST_PX,
    )
    assert small == []
    page.keyboard.press("Escape")
    assert page.locator(".viewer").count() == 0
    assert page.locator(".plate.turning").count() == 0
    assert page.evaluate("document.activeElement.dataset.step") == f"assembly-{number_of(STEP)}"
    turned.button.click()  # and again, without loading anything anew
    page.wait_for_selector(".viewer canvas")
    page.get_by_role("button", name="Close", exact=True).click()
    assert page.locator(".viewer").count() == 0
    assert sum("viewer/model.js" in u for u in turned.visit.asked) == 1
    turned.close()


def test_nothing_is_loaded_before_it_is_asked_for(chrome: Browser, booklet: Path) -> None:
    context = chrome.new_context(viewport=DESK)
    visit = Visit(context, booklet / "assembly.html")
    visit.page.wait_for_load_state("load")
    assert not [u for u in visit.asked if "/viewer/" in u]
    context.close()


@pytest.mark.parametrize("colours", ["light", "dark"])
def test_it_is_accessible(chrome: Browser, booklet: Path, colours: Any) -> None:
    turned = Turned(chrome, booklet, PHONE, number_of(STEP), color_scheme=colours)
    turned.press("Cut open")
    turned.choose("Body")
    found = Axe().run(turned.page, context=".viewer").response["violations"]
    assert [(v["id"], [n["html"][:120] for n in v["nodes"]][:3]) for v in found] == []
    turned.context.close()


# ---------------------------------------------------------------- the eye
def test_a_drag_turns_it_and_reset_brings_it_back(chrome: Browser, booklet: Path) -> None:
    turned = Turned(chrome, booklet, DESK, number_of(STEP))
    before, (x, y) = turned.pixels(), turned.middle()
    mouse = turned.page.mouse
    mouse.move(x, y)
    mouse.down()
    mouse.move(x - 160, y + 60, steps=5)
    mouse.up()
    after = turned.pixels()
    assert changed(before, after) > 0.05
    assert turned.view("view.picked") is None, "a drag is no tap"
    turned.press("Reset")
    assert changed(before, turned.pixels()) < 0.002
    turned.close()


def test_two_fingers_zoom_and_one_turns(chrome: Browser, booklet: Path) -> None:
    turned = Turned(chrome, booklet, PHONE, number_of(STEP), has_touch=True, is_mobile=True)
    page, (x, y) = turned.page, turned.middle()
    session = turned.context.new_cdp_session(page)

    def touch(kind: str, *points: tuple[float, float]) -> None:
        at = [{"x": px, "y": py, "id": n} for n, (px, py) in enumerate(points)]
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": at})

    before, scrolled = turned.view("view.figure.camera.zoom"), page.evaluate("scrollY")
    touch("touchStart", (x - 30, y), (x + 30, y))
    for n in range(1, 6):
        touch("touchMove", (x - 30 - 12 * n, y), (x + 30 + 12 * n, y))
    touch("touchEnd")
    turned.settle()
    assert turned.view("view.figure.camera.zoom") > 1.8 * before
    at = turned.view("view.figure.camera.position.toArray()")
    touch("touchStart", (x, y))
    for n in range(1, 6):
        touch("touchMove", (x + 15 * n, y + 10 * n))
    touch("touchEnd")
    turned.settle()
    assert np.linalg.norm(np.subtract(at, turned.view("view.figure.camera.position.toArray()"))) > 50
    assert page.evaluate("scrollY") == scrolled, "the page stays while the model is turned"
    touch("touchStart", (x, 60))
    for n in range(1, 6):
        touch("touchMove", (x, 60 - 10 * n))
    touch("touchEnd")
    page.wait_for_function(f"() => scrollY !== {scrolled}")
    turned.close()


def test_keys_turn_zoom_play_and_leave_the_page_where_it_is(chrome: Browser, booklet: Path) -> None:
    turned = Turned(chrome, booklet, PHONE, number_of(STEP))
    page = turned.page

    def eye() -> Floats:
        return np.array(
            turned.view("view.figure.camera.position.clone().sub(view.controls.target).normalize().toArray()")
        )

    scrolled, start = page.evaluate("scrollY"), eye()
    page.keyboard.press("ArrowLeft")
    aside = eye()
    assert float(start @ aside) == pytest.approx(np.cos(np.radians(7.5)), abs=0.02)
    page.keyboard.press("ArrowRight")
    assert eye() == pytest.approx(start, abs=1e-6)
    page.keyboard.press("ArrowUp")
    page.keyboard.press("ArrowDown")
    assert eye() == pytest.approx(start, abs=1e-6)
    zoom = turned.view("view.figure.camera.zoom")
    page.keyboard.press("+")
    assert turned.view("view.figure.camera.zoom") == pytest.approx(1.25 * zoom)
    page.keyboard.press("-")
    assert turned.view("view.figure.camera.zoom") == pytest.approx(zoom)
    page.keyboard.press(" ")
    assert turned.view("view.playing")
    page.keyboard.press(" ")
    assert not turned.view("view.playing")
    assert page.evaluate("scrollY") == scrolled
    turned.close()


# ---------------------------------------------------------------- motion
def test_playing_brings_the_part_home(chrome: Browser, booklet: Path) -> None:
    number = number_of(STEP)
    turned = Turned(chrome, booklet, TABLET, number)
    before = turned.pixels()
    assert turned.view("view.share") == 0
    assert turned.view("view.ways().length") == 1, "an arrow says which way"
    assert turned.view("Boolean(view.figure.ways)")
    turned.press("Play")
    turned.page.wait_for_function("() => benchleafViewer.view.share === 1 && !benchleafViewer.view.playing")
    assert changed(before, turned.pixels()) > 0.01
    assert not turned.view("Boolean(view.figure.ways)")
    step = steps_of("assembly")[number - 1]
    places = head().places_at(step.stands_at_deg)
    for key in step.moving:
        shown = turned.view(
            f"view.figure.shown.find(s => s.part !== undefined && view.model.parts[s.part].id === '{key}')"
            ".matrix.clone().transpose().toArray()"
        )
        assert np.abs(np.reshape(shown, (4, 4)) - places[key].matrix()).max() < 1e-3
    turned.close()


def test_a_tool_goes_along_with_its_part_and_is_pulled(chrome: Browser, booklet: Path) -> None:
    swung = [s for s in model_of(booklet)["steps"] if any(t["swing"] for t in s["tools"])]
    assert len(swung) > 5
    step = swung[0]
    turned = Turned(chrome, booklet, PHONE, step["number"], step["sequence"])
    assert turned.view("view.motion.seconds") > 1

    def tool(share: float) -> Floats:
        at = turned.view(f"view.motion.at({share}).tools[0].clone().transpose().toArray()")
        return np.reshape(at, (4, 4))

    drawn = next(n for n, t in enumerate(step["tools"]) if t["swing"])
    assert drawn == 0
    first, last = (tool(1.0), tool(0.0)) if not step["into"] else (tool(0.0), tool(1.0))
    turn = Rotation.from_matrix(first[:3, :3].T @ last[:3, :3]).as_rotvec(degrees=True)
    swing = step["tools"][0]["swing"] * (1 if step["into"] else -1)
    assert turn == pytest.approx([0.0, 0.0, swing], abs=1e-3), "about its own axis, as far as told"
    turned.close()


def test_shafts_turn_as_their_groups_do(chrome: Browser, booklet: Path) -> None:
    step = next(s for s in steps_of("assembly") if s.shaft_turn_deg and not s.bench)
    turned = Turned(chrome, booklet, PHONE, step.number)
    places = head().places_at(step.stands_at_deg + step.shaft_turn_deg * 0.5)
    keys = [p["id"] for p in model_of(booklet)["parts"]]
    found = turned.view(
        "[...view.motion.at(0.5).parts].map(([n, m]) => [n, m.clone().transpose().toArray()])"
    )
    if len(step.moves) == 0:
        assert len(found) > 5
        for number, matrix in found:
            assert np.abs(np.reshape(matrix, (4, 4)) - places[keys[number]].matrix()).max() < 1e-3, keys[
                number
            ]
    turned.close()


def test_nothing_moves_unasked(chrome: Browser, booklet: Path) -> None:
    turned = Turned(chrome, booklet, PHONE, number_of(STEP), reduced_motion="reduce")
    before = turned.pixels()
    turned.page.wait_for_timeout(600)
    assert turned.view("view.share") == 0
    assert changed(before, turned.pixels()) == 0
    turned.close()


def test_step_on_and_back_takes_the_page_along(chrome: Browser, booklet: Path) -> None:
    number = number_of(STEP)
    turned = Turned(chrome, booklet, DESK, number)
    page = turned.page
    turned.press("Next step")
    page.wait_for_selector(f"#step-{number + 1} .viewer")
    assert turned.view("view.at.number") == number + 1
    assert page.locator(".plate.turning").count() == 1
    top = page.locator(f"#step-{number + 1}").bounding_box()
    assert top is not None
    assert 0 <= top["y"] < 300, "its words stand beside"
    turned.press("Step back")
    page.wait_for_selector(f"#step-{number} .viewer")
    assert (
        page.locator(".viewer-head").text_content()
        == f"Step {number}: {steps_of('assembly')[number - 1].title}"
    )
    turned.close()


def test_full_screen_keeps_the_step_and_escape_leaves_it_first(chrome: Browser, booklet: Path) -> None:
    number = number_of(STEP)
    turned = Turned(chrome, booklet, PHONE, number)
    page = turned.page
    turned.press("Full screen")
    page.wait_for_function(
        "() => { const r = document.querySelector('.viewer').getBoundingClientRect();"
        " return r.width === innerWidth && r.height === innerHeight; }"
    )
    assert page.locator(".viewer-head").is_visible()
    turned.press("Next step")
    page.wait_for_function(f"() => benchleafViewer.view.at.number === {number + 1}")
    page.locator(".viewer canvas").focus()
    page.keyboard.press("Escape")
    page.wait_for_selector(f"#step-{number + 1} .plate .viewer")
    page.keyboard.press("Escape")
    assert page.locator(".viewer").count() == 0
    turned.close()


# ---------------------------------------------------------------- parts
def test_a_tap_names_a_part_with_its_lines(chrome: Browser, booklet: Path) -> None:
    turned = Turned(chrome, booklet, PHONE, number_of(STEP), has_touch=True)
    page, (x, y) = turned.page, turned.middle()
    page.touchscreen.tap(x, y)
    turned.settle()
    picked = turned.view("view.told(view.picked)")
    assert picked is not None
    assert page.locator(".viewer-name").text_content() == f"{picked['item']} {picked['name']}"
    links = page.eval_on_selector_all(".viewer-links a", "all => all.map(a => a.getAttribute('href'))")
    assert links[0] == f"index.html#item-{picked['item']}"
    for link in links:
        file, _, anchor = link.partition("#")
        assert f'id="{anchor}"' in (booklet / file).read_text("utf-8"), link
    page.touchscreen.tap(x - 175, y - 110)  # beside it
    turned.settle()
    assert turned.view("view.picked") is None
    assert not page.locator(".viewer-card").is_visible()
    turned.close()


def test_every_part_has_a_name_of_its_own_and_a_line(booklet: Path) -> None:
    model, front = model_of(booklet), (booklet / "index.html").read_text("utf-8")
    names = [p["name"] for p in model["parts"]]
    assert len(set(names)) == len(names)
    assert all(f'id="item-{p["item"]}"' in front for p in model["parts"])
    terms = {p["term"].partition("#")[2] for p in model["parts"] if "term" in p}
    glossary = (booklet / "glossary.html").read_text("utf-8")
    assert len(terms) > 3
    assert all(f'id="{t}"' in glossary for t in terms)


def test_parts_are_taken_away_and_looked_at_alone(chrome: Browser, booklet: Path) -> None:
    turned = Turned(chrome, booklet, DESK, number_of(STEP))
    before = turned.pixels()
    turned.choose("Body")
    turned.press("Take away")
    without = turned.pixels()
    assert changed(before, without) > 0.08
    assert not turned.view(
        "view.figure.shown.some(s => s.part !== undefined && view.model.parts[s.part].id === 'body')"
    )
    turned.press("Show all")
    assert changed(before, turned.pixels()) < 0.002
    turned.choose("Rotor (drive side)")
    turned.press("Only this")
    assert turned.view("view.figure.shown.map(s => view.model.parts[s.part].id)") == ["rotor_drive"]
    alone = turned.pixels()
    drawn = np.argwhere((alone < 250).any(axis=-1))
    reach = (np.ptp(drawn, axis=0) + 1) / alone.shape[:2]
    assert reach.max() > 0.75, "it fills the view"
    turned.press("Show all")
    turned.press("Reset")
    assert changed(before, turned.pixels()) < 0.002
    turned.close()


def test_what_is_looked_at_is_painted_as_in_the_picture(chrome: Browser, booklet: Path) -> None:
    """On the surface itself: it goes when its part is taken away, and comes with it when it is looked at alone."""
    step = next(
        s
        for s in model_of(booklet)["steps"]
        if s["sequence"] == "inspection" and {z["treatment"] for z in s["zones"]} == {"look"}
    )
    turned = Turned(chrome, booklet, PHONE, step["number"], "inspection")

    def yellow() -> float:
        red, green, blue = np.moveaxis(turned.pixels(), -1, 0)
        return float(((np.minimum(red, green) - blue) > 40).mean())

    names = [p["name"] for p in model_of(booklet)["parts"]]
    painted = dict.fromkeys(names[z["part"]] for z in step["zones"])
    assert yellow() > 0.0003
    turned.choose(next(iter(painted)))
    turned.press("Only this")
    assert yellow() > 0.0003
    turned.press("Show all")
    for name in painted:
        turned.choose(name)
        turned.press("Take away")
    assert yellow() == 0
    turned.close()


# ---------------------------------------------------------------- cut open
def stripes(pixels: Floats) -> int:
    """Return the greatest number of changes between light and dark along a row."""
    light = pixels.mean(axis=-1)
    steps = np.abs(np.diff(light, axis=1)) > 25
    return int(steps.sum(axis=1).max())


def test_a_cut_shows_hatched_faces_where_the_solids_are(chrome: Browser, booklet: Path) -> None:
    turned = Turned(chrome, booklet, PHONE, number_of(STEP))
    whole = turned.pixels()
    turned.press("Cut open")
    cut = turned.pixels()
    assert changed(whole, cut) > 0.05
    assert stripes(cut) > stripes(whole) + 15
    turned.choose("Gear case front")
    turned.press("Only this")
    turned.page.get_by_label("Cut from").select_option("front")
    turned.page.get_by_label("Where it is cut").fill("500")
    turned.settle()
    hatched = turned.pixels()
    assert stripes(hatched) > 12
    turned.press("Other half")
    assert changed(hatched, turned.pixels()) > 0.03
    turned.press("Cut open")
    assert turned.view("view.cut") is None
    turned.close()


# ---------------------------------------------------------------- where it cannot be
def test_without_webgl_the_picture_stays_with_one_line(chrome: Browser, booklet: Path) -> None:
    with chrome.browser_type.launch(executable_path=chromium(), args=[*QUIET, "--disable-3d-apis"]) as flat:
        context = flat.new_context(viewport=PHONE)
        visit = Visit(context, booklet / "assembly.html", f"#step-{number_of(STEP)}")
        plate = visit.page.locator(f"#step-{number_of(STEP)} .plate")
        plate.locator(".in-3d").click()
        line = plate.locator(".in-3d-none")
        line.wait_for()
        assert line.text_content() == "This browser cannot show the step in 3D. The picture tells the same."
        assert plate.locator("img").first.is_visible()
        assert not [u for u in visit.asked if "/viewer/" in u]
        assert [t for t in visit.troubles if t.startswith("error")] == []
        context.close()


def test_without_scripts_the_picture_stays_with_one_line(chrome: Browser, booklet: Path) -> None:
    context = chrome.new_context(viewport=PHONE, java_script_enabled=False)
    page = Visit(context, booklet / "assembly.html").page
    assert page.locator(".in-3d").first.is_hidden()
    assert page.locator(".step .plate img").first.is_visible()
    assert page.get_by_text("so there is no 3D").count() == 1
    context.close()


# ---------------------------------------------------------------- for other pages
def test_parts_of_ones_own_choice(chrome: Browser, booklet: Path) -> None:
    turned = Turned(chrome, booklet, PHONE, number_of(STEP))
    turned.page.keyboard.press("Escape")
    turned.page.evaluate(
        """() => {
            const host = document.createElement('div');
            host.id = 'own';
            document.querySelector('main').prepend(host);
            window.tapped = [];
            return benchleafViewer.open(host, {
                controls: false, onTap: part => tapped.push(part),
                parts: [{part: 'gear_case', role: 'context'}, {part: 'rotor_drive', role: 'moving'}],
            }).then(() => {});
        }"""
    )
    turned.settle()
    assert turned.page.locator("#own .viewer canvas").is_visible()
    assert turned.page.locator("#own .viewer button").count() == 0
    turned.view("view.select(view.figure.shown[1].name)")
    assert turned.page.evaluate("tapped") == ["rotor_drive"]
    turned.view("view.setParts([{part: 'body'}])")
    assert turned.view("view.figure.shown.map(s => view.model.parts[s.part].id)") == ["body"]
    unknown = "(() => { try { view.setParts([{part: 'x'}]); return ''; } catch (e) { return e.message; } })()"
    assert turned.view(unknown) == "no part x"
    turned.view("view.close()")
    assert turned.page.locator("#own .viewer").count() == 0
    turned.close()


def test_a_class_turns_a_step_goes_on_in_3d_and_puts_it_away(chrome: Browser, booklet: Path) -> None:
    context = chrome.new_context(viewport=DESK)
    visit = Visit(context, booklet / "class-assembly.html", "#step-25")
    page = visit.page
    page.locator(".slide.on .in-3d").click()
    page.locator(".slide.on .viewer canvas").wait_for()
    page.locator(".slide.on .viewer-step.on").click()
    page.wait_for_url(re.compile("#step-26$"))
    page.locator("#step-26.on .viewer canvas").wait_for()
    while page.locator("#step-26.on").count():  # what is told of a step comes in parts
        page.locator(".wall .next").click()
    assert page.locator(".viewer").count() == 0, "what was turned is put away when the class goes on"
    assert (visit.troubles, visit.outside()) == ([], [])
    context.close()


@pytest.mark.parametrize("size", ["phone", "desk"])
def test_a_part_tapped_in_3d_is_chosen_in_practice(chrome: Browser, booklet: Path, size: str) -> None:
    """What is left lies before the head; a wrong choice is told with its reason, a right one goes into place."""
    context = chrome.new_context(viewport=SIZES[size])
    visit = Visit(context, booklet / "practice.html")
    page, drill = visit.page, visit.page.locator("#disassembly")
    drill.locator(".in-3d").click()
    canvas = drill.locator(".viewer canvas")
    canvas.wait_for()
    before = drill.locator(".score").inner_text()
    box = canvas.bounding_box()
    assert box is not None
    canvas.click(position={"x": box["width"] / 2, "y": box["height"] / 2})
    tapped = page.evaluate("benchleafViewer.view.told(benchleafViewer.view.picked).id")
    assert tapped in page.evaluate(
        """JSON.parse(document.querySelector("#disassembly .practice-data").textContent).choices
            .filter(c => !c.work).flatMap(c => c.parts)"""
    ), "the middle of the head is a part that comes off"
    assert drill.locator(".score").inner_text() != before
    assert drill.locator("div.said .verdict-line").count() == 1
    for _ in range(3):
        drill.locator("[data-do=hint]").click()
        drill.locator(".hinted").first.click()
    apart = """() => { const view = benchleafViewer.view, high = Math.max(...view.model.parts.map(p => p.pose[2]));
        return view.own.filter(s => s.matrix.elements[14] > high).map(s => view.model.parts[s.part].id); }"""
    done = page.evaluate(
        """() => JSON.parse(document.querySelector("#disassembly .practice-data").textContent).choices
            .filter((c, n) => !c.work && document.querySelector(`#disassembly [data-choice="${n}"]`)
                .closest("li").hidden)
            .flatMap(c => c.parts)"""
    )
    assert sorted(page.evaluate(apart)) == sorted(done), (
        "what has been taken off, and no more, lies before the head"
    )
    assert (visit.troubles, visit.outside()) == ([], [])
    context.close()
