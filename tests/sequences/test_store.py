"""The store gives back what was put in or nothing: whatever is damaged, gone, or not writable."""

from __future__ import annotations

import json
import os
from concurrent.futures import ThreadPoolExecutor
from hashlib import sha256
from pathlib import Path

import pytest
from benchleaf.sequences.work.store import Store
from hypothesis import given, settings
from hypothesis import strategies as st

KEY = "ab" * 20
ENTRIES = st.dictionaries(st.text(min_size=1, max_size=8), st.binary(max_size=200), max_size=4)


def files(store: Store) -> list[Path]:
    return sorted(p for p in store.folder.rglob("*") if p.is_file())


@settings(max_examples=40)
@given(ENTRIES)
def test_an_entry_comes_back_as_it_was(
    tmp_path_factory: pytest.TempPathFactory, entry: dict[str, bytes]
) -> None:
    store = Store(tmp_path_factory.mktemp("store"))
    assert store.get(KEY) is None
    store.put(KEY, entry)
    assert store.get(KEY) == entry
    assert store.names(KEY) == {n: sha256(c).hexdigest() for n, c in entry.items()}


@settings(max_examples=40)
@given(st.data())
def test_any_flipped_bit_makes_it_missing_and_it_heals(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    store = Store(tmp_path_factory.mktemp("store"))
    entry = {"one": b"first content", "two": b"second"}
    store.put(KEY, entry)
    path = data.draw(st.sampled_from(files(store)))
    content = bytearray(path.read_bytes())
    at = data.draw(st.integers(0, len(content) * 8 - 1))
    content[at // 8] ^= 1 << at % 8
    path.write_bytes(bytes(content))
    assert store.get(KEY) is None
    store.put(KEY, entry)
    assert store.get(KEY) == entry


def test_an_index_moved_under_another_key_is_not_taken(tmp_path: Path) -> None:
    store = Store(tmp_path)
    store.put(KEY, {"a": b"1"})
    index = next(p for p in files(store) if p.name == KEY)
    other = "cd" * 20
    (index.parents[1] / "cd").mkdir()
    index.rename(index.parents[1] / "cd" / other)
    assert store.get(other) is None


def test_a_cut_off_content_is_replaced(tmp_path: Path) -> None:
    store = Store(tmp_path)
    store.put(KEY, {"a": b"x" * 500})
    blob = next(p for p in files(store) if p.name != KEY)
    blob.write_bytes(b"x" * 100)
    store.put("cd" * 20, {"b": b"x" * 500})
    assert store.get("cd" * 20) == {"b": b"x" * 500}


def test_equal_contents_lie_once(tmp_path: Path) -> None:
    store = Store(tmp_path)
    for n in range(10):
        store.put(f"{n:040d}", {"picture": b"p" * 1000, "own": str(n).encode()})
    assert len(files(store)) == 10 + 1 + 10
    assert store.size().entries == 10
    assert store.size().bytes == sum(p.stat().st_size for p in files(store))


def test_many_writers_of_one_entry(tmp_path: Path) -> None:
    store = Store(tmp_path)
    entry = {str(n): os.urandom(2000) for n in range(5)}
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(lambda _: store.put(KEY, entry), range(40)))
    assert store.get(KEY) == entry
    assert not [p for p in files(store) if p.name.startswith(".")]


def test_a_store_that_cannot_be_written_says_so_and_goes_on(tmp_path: Path) -> None:
    place = tmp_path / "file"
    place.write_text("no folder")
    store = Store(place)
    store.put(KEY, {"a": b"1"})
    assert store.get(KEY) is None
    assert str(place) in store.unwritable


def test_pruning_keeps_what_was_used_last_and_leaves_no_content_of_no_entry(tmp_path: Path) -> None:
    store = Store(tmp_path)
    keys = [f"{n:040d}" for n in range(6)]
    for n, key in enumerate(keys):
        store.put(key, {"own": bytes([n]) * 1000, "shared": b"s" * 1000})
        index = next(p for p in files(store) if p.name == key)
        os.utime(index, (n, n))
    assert store.get(keys[0]) is not None, "used now, so the last to go"
    store.prune(3500)
    assert store.size().bytes <= 3500
    assert [store.get(k) is not None for k in keys] == [True, False, False, False, False, True]
    store.prune(0)
    assert files(store) == []


def test_clearing_leaves_other_files(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine")
    store = Store(tmp_path)
    store.put(KEY, {"a": b"1"})
    store.clear()
    assert [p.name for p in files(store)] == ["notes.txt"]


@pytest.mark.parametrize(
    "digest", ["../../../victim", "/etc/passwd", "", "ab", "0" * 63 + "G", ["0" * 64], None]
)
def test_an_index_of_a_stranger_does_not_lead_out_of_the_store(tmp_path: Path, digest: object) -> None:
    victim = tmp_path / "victim"
    victim.write_text("a person's")
    store, key = Store(tmp_path / "store"), "ab" * 20
    store.put(key, {"a": b"1"})
    (index,) = (tmp_path / "store").rglob(f"index/*/{key}")
    text = json.dumps({"a": digest}).encode()
    index.write_bytes(sha256(key.encode() + text).hexdigest().encode() + b"\n" + text)
    assert store.names(key) is None
    assert store.get(key) is None
    store.prune(0)
    assert victim.read_text() == "a person's"
    store.put(key, {"a": b"2"})
    assert store.get(key) == {"a": b"2"}
