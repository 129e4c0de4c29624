"""The SVG of a picture is whole in itself: valid, with the picture and the words inside, nothing from outside."""

from __future__ import annotations

import base64
import io
import re
from xml.etree import ElementTree

import pytest
from benchleaf.render.drawing.callouts import NoRoomForCallouts
from benchleaf.render.drawing.manifest import CameraSeen, Manifest, PartSeen
from benchleaf.render.pictures.kept_pictures import Picture
from benchleaf.render.pictures.svg import SHOWN_WIDTH, picture_svg
from PIL import Image

NS = "{http://www.w3.org/2000/svg}"


def _picture(anchors: dict[str, tuple[float, float] | None]) -> Picture:
    out = io.BytesIO()
    Image.new("RGB", (80, 60), (0, 114, 178)).save(out, "WEBP")
    parts = {k: PartSeen("plain", 10, None, a, None) for k, a in anchors.items()}
    camera = CameraSeen("front", (0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (0.0, 0.0, 0.0), 100.0)
    manifest = Manifest("step", "s", 1, {"webp": "s.webp"}, 80, 60, camera, False, parts)
    return Picture(manifest, {"webp": out.getvalue()})


def test_picture_and_words_are_inside_and_nothing_is_outside() -> None:
    svg = picture_svg(
        _picture({"a": (0.3, 0.4), "b": (0.7, 0.6)}), {"a": "Nut & <ring>", "b": "Cover"}, 'A "look"'
    )
    root = ElementTree.fromstring(svg)
    image = root.find(f"{NS}image")
    assert image is not None
    kind, data = image.attrib["href"].split(",", 1)
    assert kind == "data:image/png;base64"
    with Image.open(io.BytesIO(base64.b64decode(data))) as inner:
        assert inner.size == (80, 60)
        assert inner.convert("RGB").getpixel((5, 5)) == pytest.approx((0, 114, 178), abs=6)
    assert [t.text for t in root.iter(f"{NS}text")] == ["Nut & <ring>", "Cover"]
    assert root.findtext(f"{NS}title") == 'A "look"'
    assert re.findall(r'(?:href|src)="(?!data:)|url\(', svg) == []


def test_leaders_end_on_their_parts() -> None:
    root = ElementTree.fromstring(picture_svg(_picture({"a": (0.25, 0.5)}), {"a": "Nut"}, "t"))
    ends = {(float(e.attrib["x2"]), float(e.attrib["y2"])) for e in root.iter(f"{NS}line")}
    assert ends == {(0.25 * SHOWN_WIDTH, 0.5 * SHOWN_WIDTH * 60 / 80)}


def test_parts_out_of_sight_get_no_label() -> None:
    svg = picture_svg(
        _picture({"a": None, "b": (0.5, 0.5)}), {"a": "Hidden", "b": "Seen", "c": "Absent"}, "t"
    )
    assert [t.text for t in ElementTree.fromstring(svg).iter(f"{NS}text")] == ["Seen"]


def test_without_labels_the_frame_is_the_pictures() -> None:
    root = ElementTree.fromstring(picture_svg(_picture({"a": None}), {}, "t"))
    assert root.attrib["viewBox"] == f"0 0 {SHOWN_WIDTH:g} {SHOWN_WIDTH * 0.75:g}"


MANY = {f"part_{n}": (0.2 + 0.02 * n, 0.5) for n in range(30)}
LONG = {k: f"A part with a rather long name, number {n}" for n, k in enumerate(MANY)}


def test_words_without_room_are_numbered_and_stand_below() -> None:
    numbers = {k: str(n) for n, k in enumerate(MANY, 1)}
    root = ElementTree.fromstring(picture_svg(_picture(dict(MANY)), LONG, "t", numbers))
    texts = [t.text or "" for t in root.iter(f"{NS}text")]
    assert sorted(texts) == sorted([*LONG.values(), *numbers.values(), *numbers.values()])
    assert len(list(root.iter(f"{NS}circle"))) == len(MANY)
    left, top, width, height = map(float, root.attrib["viewBox"].split())
    assert left < 0
    assert top < 0
    assert height > SHOWN_WIDTH * 0.75 - 2 * top, "room for the key"
    assert (root.attrib["width"], root.attrib["height"]) == (f"{width:g}", f"{height:g}")


def test_words_without_room_and_without_numbers_are_refused() -> None:
    with pytest.raises(NoRoomForCallouts, match="30 labels of"):
        picture_svg(_picture(dict(MANY)), LONG, "t")
