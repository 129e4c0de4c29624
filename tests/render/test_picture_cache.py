"""The cache gives back what was put in, or nothing; never half of it."""

from __future__ import annotations

from pathlib import Path

from benchleaf.render.pictures.picture_cache import PictureCache, digest
from hypothesis import given
from hypothesis import strategies as st

ENTRIES = st.dictionaries(st.text("abcdefgh.", min_size=1, max_size=8), st.binary(max_size=200), min_size=1)


@given(ENTRIES)
def test_entries_come_back_as_they_were(tmp_path_factory: object, entry: dict[str, bytes]) -> None:
    cache = PictureCache(tmp_path_factory.mktemp("cache"))  # type: ignore[attr-defined]
    key = digest(sorted(entry.items()))
    assert cache.get(key) is None
    cache.put(key, entry)
    assert cache.get(key) == entry


def test_equal_entries_give_equal_files(tmp_path: Path) -> None:
    for name in ("one", "two"):
        PictureCache(tmp_path / name).put("ab12", {"b": b"2", "a": b"1"})
    one, two = ((tmp_path / name / "ab" / "ab12.zip").read_bytes() for name in ("one", "two"))
    assert one == two


def test_a_broken_file_counts_as_missing(tmp_path: Path) -> None:
    cache = PictureCache(tmp_path)
    cache.put("ab12", {"a": b"1" * 500})
    path = tmp_path / "ab" / "ab12.zip"
    path.write_bytes(path.read_bytes()[:120])
    assert cache.get("ab12") is None
    cache.put("ab12", {"a": b"2"})
    assert cache.get("ab12") == {"a": b"2"}


def test_nothing_is_left_beside_the_entries(tmp_path: Path) -> None:
    PictureCache(tmp_path).put("ab12", {"a": b"1"})
    assert [p.name for p in (tmp_path / "ab").iterdir()] == ["ab12.zip"]


def test_a_folder_that_cannot_be_written_is_no_fault(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    cache = PictureCache(blocked)
    cache.put("ab12", {"a": b"1"})
    assert cache.get("ab12") is None


def test_digests_tell_inputs_apart() -> None:
    assert digest("a", "b") == digest("a", "b")
    assert len({digest("a", "b"), digest("ab"), digest("a", "c"), digest("b", "a")}) == 4
