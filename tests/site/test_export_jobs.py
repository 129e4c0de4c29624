"""The forms of a real booklet by the command: course, slides and film of a box and its lid; mistakes write nothing."""

from __future__ import annotations

import io
import re
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import av
import pptx
import pytest
from benchleaf.render.pictures import step_pictures
from benchleaf.site.command import main
from benchleaf.site.extras.film.film_export import export_films
from picture_sizes import SMALL
from small_assembly import write_small_assembly


@pytest.fixture(scope="module", name="box")
def _box(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The assembly's file; what is kept of it lies beside it."""
    return write_small_assembly(tmp_path_factory.mktemp("box"))


@pytest.fixture(autouse=True)
def _store(box: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BENCHLEAF_CACHE", str(box.parent / "store"))
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1893456000")


def _names(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.rglob("*") if p.is_file() and not p.name.startswith("."))


def test_a_course_and_slides_of_an_own_assembly(
    box: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["export", str(box), "--course", "--to", str(tmp_path / "course")]) == 0
    (name,) = _names(tmp_path / "course")
    assert name == "box-and-lid-course.zip"
    with zipfile.ZipFile(tmp_path / "course" / name) as packed:
        names = packed.namelist()
        assert {
            "imsmanifest.xml",
            "course.html",
            "index.html",
            "assembly.html",
            "assets/course-page.js",
        } <= set(names)
        assert b"../index.html" not in packed.read("index.html"), "it leads nowhere outside"
        assert b"course-page.js" in packed.read("assembly.html")
    assert main(["export", str(box), "--slides", "--to", str(tmp_path / "slides")]) == 0
    assert "1 booklet as slides (PPTX)" in capsys.readouterr().out
    (name,) = _names(tmp_path / "slides")
    deck = pptx.Presentation(io.BytesIO((tmp_path / "slides" / name).read_bytes()))
    (slide,) = [s for s in deck.slides if s.shapes.title.text.startswith("1  Put the lid on")]
    assert [s.shape_type for s in slide.shapes].count(13) == 1
    assert any("Lid" in s.text_frame.text for s in slide.shapes if s.has_text_frame)
    assert main(["verify", str(tmp_path / "slides")]) == 0


def test_pictures_and_parts_of_an_own_assembly(
    box: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Also in a language of its own; what it does not have is told, and nothing is written."""
    german = tmp_path / "german"
    german.mkdir()
    file = write_small_assembly(german)
    file.write_text(file.read_text("utf-8") + "booklet: {languages: [en, de]}\n", "utf-8")
    assert main(["export", str(file), "--pictures", "--language", "de", "--to", str(tmp_path / "svg")]) == 0
    assert "2 pictures of 1 assembly as SVG" in capsys.readouterr().out
    assert _names(tmp_path / "svg") == ["assembly-01.svg", "overview.svg"]
    picture = ElementTree.parse(tmp_path / "svg" / "box-and-lid" / "assembly-01.svg").getroot()
    assert "mit Pfeil zu ihrem Platz" in (picture.findtext("{http://www.w3.org/2000/svg}title") or "")

    part = ["export", str(file), "--part", "assembly/all", "--to", str(tmp_path / "part")]
    assert main([*part, "--page", "--language", "de"]) == 0
    (name,) = _names(tmp_path / "part")
    assert name == "box-and-lid-assembly-all.html"
    text = (tmp_path / "part" / name).read_text("utf-8")
    assert '<html lang="de"' in text
    assert text.count("Put the lid on") >= 1
    assert main(["verify", str(tmp_path / "part")]) == 0

    to = ["--to", str(tmp_path / "no")]
    assert main(["export", str(file), "--part", "asembly", *to]) == 2
    assert "--part: Box and lid has no part asembly; did you mean assembly?" in capsys.readouterr().err
    for form in (["--part", "assembly"], ["--pictures"], ["--course"], ["--slides"]):
        assert main(["export", str(file), *form, "--language", "es", *to]) == 2
        assert "lid.yaml has no pages in 'es'; allowed: en or de" in capsys.readouterr().err
    assert not (tmp_path / "no").exists()


def test_an_own_booklet_is_shared_as_one_file(
    box: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["export", str(box), "--zip", "--to", str(tmp_path / "shared")]) == 0
    file = tmp_path / "shared" / "box-and-lid.zip"
    assert main(["verify", str(file)]) == 0
    with zipfile.ZipFile(file) as packed:
        names = packed.namelist()
        assert {f"box-and-lid/{n}" for n in ("README.txt", "index.html", "assembly.html")} <= set(names)
        beside = ("pump.html", "trouble.html", "year.html", "glossary.html")
        assert not {f"box-and-lid/{n}" for n in beside} & set(names), "its file says nothing for them"
        pages = [packed.read(n).decode("utf-8") for n in names if n.endswith(".html")]
    hrefs = {h for page in pages for h in re.findall(r'(?:href|src)="([^"]*)"', page)}
    assert [h for h in hrefs if re.match(r"/|[a-z]+:(?!,)", h) and not h.startswith("data:")] == []
    assert "1 booklet in" in capsys.readouterr().out


def test_a_film_is_drawn_once_and_then_kept(
    box: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store, said = box.parent / "store", list[str]()
    assert export_films(box, tmp_path / "film", (), (), said.append, store, SMALL, height=270) == 1
    assert said == ["Box and lid, assembly: 1 steps"]
    stem = "box-and-lid-assembly"
    assert _names(tmp_path / "film") == [f"{stem}.{x}" for x in ("en.srt", "en.vtt", "mp4", "webm")]
    film = av.open(str(tmp_path / "film" / f"{stem}.mp4"))
    last, different, before = 0.0, 0, b""
    for frame in film.decode(video=0):
        last = frame.time
        shown = frame.to_ndarray(format="rgb24")[48:247, 29:294].tobytes()
        different += shown != before
        before = shown
    assert different > 15, "the lid is seen to move"
    assert last > 20
    assert main(["verify", str(tmp_path / "film")]) == 0

    monkeypatch.setattr(step_pictures, "draw_film", lambda *a: pytest.fail("kept from before"))
    export_films(box, tmp_path / "again", (), ["assembly/1"], said.append, store, SMALL, height=270)
    for name in _names(tmp_path / "film"):
        assert (tmp_path / "film" / name).read_bytes() == (tmp_path / "again" / name).read_bytes()


@pytest.mark.parametrize("form", ["--course", "--slides", "--film"])
def test_unknown_steps_write_nothing(
    box: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], form: str
) -> None:
    to = ["--to", str(tmp_path / "out")]
    assert main(["export", str(box), form, "--steps", "asembly", "assembly/2", *to]) == 2
    err = capsys.readouterr().err
    assert "--steps: Box and lid has no sequence asembly; did you mean assembly?\nallowed: assembly\n" in err
    assert "no section or step 2 in assembly" in err
    assert main(["export", str(box), form, "--only", "P-101", *to]) == 2
    assert "leave --only out" in capsys.readouterr().err
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine/notes.txt").write_text("mine", "utf-8")
    assert main(["export", str(box), form, "--to", str(tmp_path / "mine")]) == 2
    assert "was not written by benchleaf" in capsys.readouterr().err
    assert sorted(p.name for p in tmp_path.rglob("*")) == ["mine", "notes.txt"]


def test_what_does_not_go_together_is_refused(
    box: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    to = ["--to", str(tmp_path / "out")]
    assert main(["export", str(box), "--course", "--steps", "assembly/1", *to]) == 2
    assert "a course takes whole sequences, not assembly/1" in capsys.readouterr().err
    assert main(["export", "demo", "--steps", "assembly", *to]) == 2
    assert "--steps goes with --course, --slides or --film" in capsys.readouterr().err
    assert main(["export", "demo", "--slides", "--only", "P-999", *to]) == 2
    assert "P-999" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []
