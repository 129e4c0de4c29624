"""The course: its package by the standard, and what it tells a learning system: a strict double, a real run-time."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote, unquote

import pytest
from benchleaf.site.pages.booklet import Booklet
from benchleaf.site.pages.elearning.course_package import CourseTooLong, course_files, manifest
from benchleaf.site.pages.pages import Setting, write_booklet
from browsing import Visit, browser, viewport
from learning_systems import DOUBLE, REAL, RUN_TIME, SCHEMAS, served, write_learning_system
from lxml import etree
from playwright.sync_api import Browser, Frame, Page
from practice_booklets import WORDS, coupling_proof, practice_booklet
from proof_samples import coupling

SETTING = Setting(WORDS, "Invented Works", True, "2031-01-01")
CP, ADL = "{http://www.imsproject.org/xsd/imscp_rootv1p1p2}", "{http://www.adlnet.org/xsd/adlcp_rootv1p2}"
DESK = viewport(1300, 1000)
_TO_END = "n => document.querySelectorAll('.step .words')[n].scrollIntoView({ block: 'end' })"


@pytest.fixture(scope="module", name="made")
def _made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Booklet, dict[str, bytes]]:
    folder = tmp_path_factory.mktemp("booklet")
    plans, proof = coupling_proof()
    booklet = practice_booklet(folder, coupling(), plans, proof, {})
    write_booklet(booklet, folder, SETTING)
    return booklet, {
        p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()
    }


@pytest.fixture(scope="module", name="package")
def _package(made: tuple[Booklet, dict[str, bytes]], tmp_path_factory: pytest.TempPathFactory) -> Path:
    home = tmp_path_factory.mktemp("system")
    for name, content in course_files(*made, SETTING).items():
        file = home / "course" / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(content)
    write_learning_system(home, "course/course.html", DOUBLE)
    return home


def _numbers(package: Path) -> tuple[int, dict[str, Any]]:
    text = (package / "course/course-data.js").read_text("ascii")
    data = json.loads(text.removeprefix("window.benchleafCourse = ").rstrip(";\n"))
    return sum(s["steps"] for s in data["sequences"]), data


# ------------------------------------------------------------------ the package
def test_the_manifest_lists_every_file_of_its_one_unit(package: Path) -> None:
    root = etree.parse(package / "course/imsmanifest.xml").getroot()
    assert root.tag == f"{CP}manifest"
    assert root.findtext(f"{CP}metadata/{CP}schemaversion") == "1.2"
    organisation = root.find(f"{CP}organizations/{CP}organization")
    assert root.find(f"{CP}organizations").get("default") == organisation.get("identifier")
    (item,) = organisation.findall(f"{CP}item")
    (resource,) = root.findall(f"{CP}resources/{CP}resource")
    assert item.get("identifierref") == resource.get("identifier")
    assert resource.get(f"{ADL}scormtype") == "sco"
    listed = [unquote(f.get("href")) for f in resource.findall(f"{CP}file")]
    there = {
        p.relative_to(package / "course").as_posix() for p in (package / "course").rglob("*") if p.is_file()
    }
    assert sorted(listed) == sorted(there - {"imsmanifest.xml"})
    assert resource.get("href") in listed
    ids = [e.get("identifier") for e in root.iter() if e.get("identifier")]
    assert len(ids) == len(set(ids))
    assert all(re.fullmatch(r"[A-Za-z_][\w.-]*", i) for i in ids)


@pytest.mark.skipif(
    not SCHEMAS.is_dir(), reason="the public schemas are not installed: see learning_systems.py"
)
def test_the_manifest_is_valid_by_the_public_schemas(package: Path, tmp_path: Path) -> None:
    for name in ("imscp_rootv1p1p2.xsd", "adlcp_rootv1p2.xsd", "imsmd_rootv1p2p1.xsd", "ims_xml.xsd"):
        (tmp_path / name).write_bytes((SCHEMAS / name).read_bytes())
    both = tmp_path / "both.xsd"
    both.write_text(
        '<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema">'
        '<xs:import namespace="http://www.imsproject.org/xsd/imscp_rootv1p1p2" schemaLocation="imscp_rootv1p1p2.xsd"/>'
        '<xs:import namespace="http://www.adlnet.org/xsd/adlcp_rootv1p2" schemaLocation="adlcp_rootv1p2.xsd"/>'
        "</xs:schema>"
    )
    schema = etree.XMLSchema(etree.parse(both))
    schema.assertValid(etree.parse(package / "course/imsmanifest.xml"))
    broken = etree.fromstring((package / "course/imsmanifest.xml").read_bytes())
    broken.remove(broken.find(f"{CP}resources"))
    assert not schema.validate(broken)


def test_names_and_titles_are_escaped() -> None:
    root = etree.fromstring(manifest("course-1", 'P <1> & "2"', ["a & b.html", "é.html"]).encode())
    assert root.findtext(f".//{CP}title") == 'P <1> & "2"'
    assert [f.get("href") for f in root.iter(f"{CP}file")] == ["a%20%26%20b.html", "%C3%A9.html"]


def test_equal_booklets_give_equal_packages_and_only_chosen_sequences_count(
    made: tuple[Booklet, dict[str, bytes]],
) -> None:
    whole, again = course_files(*made, SETTING), course_files(*made, SETTING)
    assert whole == again
    part = course_files(*made, SETTING, ("disassembly",))
    assert {n for n in whole if whole[n] != part[n]} == {"course-data.js"}
    assert b'"id":"disassembly"' in part["course-data.js"]
    assert b'"id":"assembly"' not in part["course-data.js"]
    with pytest.raises(KeyError):
        course_files(*made, SETTING, ("none",))
    assert CourseTooLong.__mro__[1] is ValueError


# ------------------------------------------------------------------ what it tells
@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    with browser() as running:
        yield running


def _inner(page: Page) -> Frame:
    frame = page.frame("booklet")
    assert frame is not None
    return frame


def _course(page: Page) -> Frame:
    frame = page.frame("course")
    assert frame is not None
    return frame


def _opened(page: Page, address: str, before: dict[str, str] | None = None) -> None:
    page.clock.install()  # time passes when a test says so
    page.goto(f"{address}/system.html" + (f"#{quote(json.dumps(before))}" if before else ""))
    _course(page).wait_for_selector(".course-bar:not([hidden])")


def _read_all(page: Page, names: list[str]) -> None:
    """Go to the page of each sequence and on from step to step, each as long as it takes to count."""
    for name in names:
        inner = _inner(page)
        inner.goto(inner.url.rsplit("/", 1)[0] + f"/{name}.html")
        count = len(inner.query_selector_all(".step[data-step]"))
        assert count > 3
        for n in range(count):
            inner.evaluate(_TO_END, n)
            page.clock.run_for(1600)
    page.clock.run_for(2500)


def _sit(page: Page, good: bool) -> None:
    _course(page).click("[data-do=test]")
    inner = _inner(page)
    inner.wait_for_selector(".answer")
    inner.evaluate(
        """good => {
            window.confirm = () => true;
            const sheet = document.querySelector('.sheet-of-test'), items = document.querySelector('.test').draw();
            items.forEach((item, n) => {
                const at = item.answers.findIndex(a => a.right === good);
                sheet.querySelectorAll('.answer')[at].click();
                const buttons = [...sheet.querySelectorAll('.buttons button')];
                buttons[buttons.length - 1].click();
            });
        }""",
        good,
    )
    inner.wait_for_selector(".given-answers")
    page.clock.run_for(100)


def _kept(page: Page, name: str) -> str:
    return str(page.evaluate("name => window.kept[name]", name))


def test_a_course_is_done_when_all_is_read_and_the_test_is_passed(chrome: Browser, package: Path) -> None:
    steps, data = _numbers(package)
    names = [s["id"] for s in data["sequences"]]
    with served(package) as address:
        page = chrome.new_page(viewport=DESK)
        asked: list[str] = []
        page.on("request", lambda r: asked.append(r.url))
        _opened(page, address)
        assert _kept(page, "cmi.core.lesson_status") == "incomplete"
        _read_all(page, names[:1])
        assert f"{data['sequences'][0]['steps']} of {steps} steps read" in _course(page).inner_text(".read")
        _sit(page, good=False)
        page.wait_for_function("() => window.kept['cmi.core.score.raw'] === '0'")
        assert _kept(page, "cmi.core.lesson_status") == "incomplete", "half of it is not read"
        _read_all(page, names[1:])
        page.wait_for_function("() => window.kept['cmi.core.lesson_status'] === 'failed'")
        _sit(page, good=True)
        page.wait_for_function("() => window.kept['cmi.core.lesson_status'] === 'passed'")
        assert (_kept(page, "cmi.core.score.raw"), _kept(page, "cmi.core.score.max")) == ("100", "100")
        _course(page).evaluate("() => window.dispatchEvent(new Event('pagehide'))")
        heard = page.evaluate("() => window.heard")
        assert page.evaluate("() => window.wrong") == []
        assert set(heard) == {"LMSInitialize", "LMSGetValue", "LMSSetValue", "LMSCommit", "LMSFinish"}
        assert (heard[0], heard[-1], heard.count("LMSInitialize"), heard.count("LMSFinish")) == (
            "LMSInitialize",
            "LMSFinish",
            1,
            1,
        )
        assert re.fullmatch(r"0000:00:\d\d", _kept(page, "cmi.core.session_time"))
        assert _kept(page, "cmi.core.exit") == ""
        assert [u for u in asked if not u.startswith((address, "data:"))] == []
        page.close()


def test_what_is_on_the_screen_counts_and_is_there_again_next_time(chrome: Browser, package: Path) -> None:
    steps, data = _numbers(package)
    with served(package) as address:
        page = chrome.new_page(viewport=DESK)
        _opened(page, address)
        _course(page).click("[data-do=unread]")
        _inner(page).wait_for_selector(".step")
        _inner(page).evaluate(_TO_END, 0)
        page.clock.run_for(1600)
        _course(page).evaluate("() => window.dispatchEvent(new Event('pagehide'))")
        kept = page.evaluate("() => window.kept")
        assert page.evaluate("() => window.wrong") == []
        assert kept["cmi.core.exit"] == "suspend"
        read = int(_course(page).inner_text(".read").split()[0])
        assert 0 < read < data["sequences"][0]["steps"], "what is further down is not read"
        assert re.fullmatch(r"assembly\.html(#step-\d+)?", kept["cmi.core.lesson_location"])
        page.goto("about:blank")
        _opened(page, address, {n: v for n, v in kept.items() if n.startswith("cmi.")})
        assert f"{read} of {steps} steps read" in _course(page).inner_text(".read")
        assert _inner(page).url.endswith(kept["cmi.core.lesson_location"])
        changed = kept["cmi.suspend_data"].replace(
            f"assembly:{data['sequences'][0]['mark']}", "assembly:000000"
        )
        page.goto("about:blank")
        _opened(page, address, {**kept, "cmi.suspend_data": changed})
        assert f"0 of {steps} steps read" in _course(page).inner_text(".read"), "of other steps than today's"
        for rubbish in ("1|", "x" * 4096, "1|999|a|assembly:zz:gg", "2|50|1|"):
            page.goto("about:blank")
            _opened(page, address, {"cmi.suspend_data": rubbish})
            assert "0 of" in _course(page).inner_text(".read")
            assert page.evaluate("() => window.wrong") == []
        page.close()


def test_opened_to_look_at_it_writes_nothing(chrome: Browser, package: Path) -> None:
    with served(package) as address:
        page = chrome.new_page(viewport=viewport(360, 740))
        for before in ({"cmi.core.lesson_mode": "review"}, {"cmi.core.credit": "no-credit"}):
            page.goto("about:blank")
            _opened(page, address, before)
            _course(page).evaluate("() => window.dispatchEvent(new Event('pagehide'))")
            assert set(page.evaluate("() => window.heard")) == {"LMSInitialize", "LMSGetValue", "LMSFinish"}
            assert "nothing is recorded" in _course(page).inner_text(".kept")
        page.close()


def test_a_test_that_is_not_the_courses_own_counts_for_nothing(chrome: Browser, package: Path) -> None:
    with served(package) as address:
        page = chrome.new_page(viewport=DESK)
        _opened(page, address)
        inner = _inner(page)
        for test in (
            {"seed": "A", "right": 5, "all": 5, "topics": True},
            {"seed": "", "right": 20, "all": 20},
        ):
            inner.evaluate("t => window.parent.postMessage({ benchleaf: 'course', test: t }, '*')", test)
        page.clock.run_for(3000)
        assert _kept(page, "cmi.core.score.raw") == ""
        _course(page).click("[data-do=test]")
        inner.wait_for_selector(".answer")
        assert inner.locator("[data-show=key]:visible").count() == 0
        page.close()


def test_without_a_learning_system_it_opens_from_disk_and_says_so(chrome: Browser, package: Path) -> None:
    context = chrome.new_context(viewport=viewport(360, 740))
    visit = Visit(context, package / "course/course.html")
    visit.page.wait_for_selector(".course-bar:not([hidden])")
    assert visit.page.inner_text(".kept") == "No learning system here: nothing is recorded."
    visit.page.click("[data-do=unread]")
    _inner(visit.page).wait_for_selector(".step")
    assert (visit.troubles, visit.outside(), visit.too_wide()) == ([], [], 0)
    context.close()


@pytest.mark.skipif(not RUN_TIME.is_file(), reason="scorm-again is not installed: see learning_systems.py")
def test_a_real_run_time_takes_it(chrome: Browser, package: Path) -> None:
    _, data = _numbers(package)
    write_learning_system(package, "course/course.html", REAL, RUN_TIME)
    try:
        with served(package) as address:
            page = chrome.new_page(viewport=DESK)
            troubles: list[str] = []
            page.on("console", lambda m: troubles.append(m.text) if m.type == "error" else None)
            page.on("pageerror", lambda e: troubles.append(str(e)))
            _opened(page, address)
            assert page.evaluate("() => window.API.cmi.core.lesson_status") == "incomplete"
            _read_all(page, [s["id"] for s in data["sequences"]])
            _sit(page, good=True)
            page.wait_for_function("() => window.API.cmi.core.lesson_status === 'passed'")
            assert page.evaluate("() => String(window.API.cmi.core.score.raw)") == "100"
            assert page.evaluate("() => String(window.API.LMSGetLastError())") == "0"
            assert page.evaluate("() => window.API.cmi.suspend_data").startswith("1|100|1|")
            _course(page).evaluate("() => window.dispatchEvent(new Event('pagehide'))")
            assert page.evaluate("() => window.API.isTerminated()")
            assert troubles == []
            page.close()
    finally:
        write_learning_system(package, "course/course.html", DOUBLE)
