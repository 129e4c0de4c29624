"""The review names each picture that does not show what it has to, and passes the others."""

from __future__ import annotations

from dataclasses import replace

from benchleaf.render.drawing.manifest import Arrow, CameraSeen, Inset, Manifest, PartSeen, ToolSeen, ZoneSeen
from benchleaf.render.drawing.review import review_acts, review_pictures

CAMERA = CameraSeen("front", (0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (0.0, 0.0, 0.0), 100.0)


def _manifest(visible: float, *insets: Inset, arrows: tuple[Arrow, ...] = ()) -> Manifest:
    parts = {
        "key": PartSeen("moving", 9, visible, (0.5, 0.5), None),
        "shaft": PartSeen("context", 9, 0.1, None, None),
    }
    return Manifest("step", "fit_key", 3, {"webp": "x"}, 400, 300, CAMERA, False, parts, arrows, (), insets)


def _inset(visible: float, fill: float = 0.4, centre: tuple[float, float] = (0.8, 0.3)) -> Inset:
    return Inset(centre, 0.18, (0.4, 0.4), 0.05, 3.6, ("key",), fill, visible, {})


def test_what_is_seen_in_picture_or_close_up_passes() -> None:
    assert review_pictures([_manifest(0.5), _manifest(0.1, _inset(0.9))]) == []


def test_what_is_hidden_in_both_is_named() -> None:
    for manifest in (_manifest(0.49), _manifest(0.3, _inset(0.49)), _manifest(0.4, _inset(0.2), _inset(0.3))):
        (found,) = review_pictures([manifest])
        assert (found.step, found.part) == ("fit_key", "key")
        assert "of its outline is unhidden" in found.reason


def test_a_close_up_too_small_counts_for_nothing_and_is_named() -> None:
    reasons = [f.reason for f in review_pictures([_manifest(0.2, _inset(0.9, fill=0.1))])]
    assert reasons == ["only 20% of its outline is unhidden", "fills only 10% of its close-up"]


def test_close_ups_and_arrows_out_of_frame_are_named() -> None:
    out = _manifest(0.9, _inset(0.9, centre=(0.9, 0.3)), arrows=(Arrow(("key",), (0.5, 0.5), (1.2, 0.5)),))
    assert [f.reason for f in review_pictures([out])] == [
        "its close-up leaves the picture",
        "its arrow leaves the picture",
    ]


def test_an_arrow_a_hair_out_of_frame_and_an_anchor_out_of_it_are_named() -> None:
    out = _manifest(0.9, arrows=(Arrow(("key",), (0.5, 0.5), (0.5, -0.004)),))
    astray = replace(out, parts={**out.parts, "shaft": PartSeen("context", 9, 0.1, (1.01, 0.5), None)})
    assert [(f.part, f.reason) for f in review_pictures([astray])] == [
        ("key", "its arrow leaves the picture"),
        ("shaft", "its callout points out of the picture"),
    ]


def test_of_equal_surfaces_the_best_seen_counts_and_a_hidden_one_is_named() -> None:
    def zone(part: str, surface: str, px: int) -> ZoneSeen:
        return ZoneSeen(part, surface, "clean", px, 1.0, None)

    both = zone("shaft_drive", "keyway", 0), zone("shaft_driven", "keyway", 24)
    assert review_acts([replace(_manifest(1.0), zones=both)]) == []
    hidden = zone("cover", "inner face", 23), zone("body", "seat", 24)
    (found,) = review_acts([replace(_manifest(1.0), zones=(*both, *hidden))])
    assert (found.part, found.reason) == ("cover", "inner face, to clean: only 23 pixels are seen")


def test_a_tool_is_seen_where_it_touches() -> None:
    def tool(visible: int, contact: int, name: str = "feeler blade") -> ToolSeen:
        return ToolSeen(name, "rotor", "flank", (0.5, 0.5), visible, contact, None)

    assert review_acts([replace(_manifest(1.0), tools=(tool(9, 1), tool(9, 0, "lifting strap")))]) == []
    found = review_acts([replace(_manifest(1.0), tools=(tool(0, 0), tool(9, 0)))])
    assert [f.reason for f in found] == [
        "the feeler blade at its flank is out of sight",
        "where the feeler blade touches it is out of sight",
    ]
